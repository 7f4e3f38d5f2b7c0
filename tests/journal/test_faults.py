"""Whatever is wrong with the file is said in a sentence that tells what to do, and nothing stored is lost."""

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import pytest

import coachbot
from coachbot.journal import Journal, JournalError

from .turns import AT, say, turn

OPEN_AS_NOBODY = """
import os, sys
from coachbot.journal import Journal, JournalError
if os.geteuid() == 0:
    os.setuid(65534)
try:
    Journal.open(sys.argv[1])
except JournalError as error:
    print(error)
"""


def refusal(path: Path) -> str:
    with pytest.raises(JournalError) as refused:
        Journal.open(path, wait=0.1)
    return str(refused.value)


def other_database(path: Path) -> bytes:
    with sqlite3.connect(path) as raw:
        raw.execute("create table recipe (name text)")
    raw.close()
    return path.read_bytes()


def test_missing_folder_named(tmp_path: Path):
    assert refusal(tmp_path / "no" / "coach.db") == (
        f"The folder of {tmp_path / 'no' / 'coach.db'} does not exist. Create the folder, or name another file."
    )


def test_folder_for_a_file(tmp_path: Path):
    assert refusal(tmp_path) == f"{tmp_path} is a folder. Name a file in it."


@pytest.mark.parametrize("text", ["x", "Dear diary\n" * 500])
def test_text_file_left_alone(tmp_path: Path, text: str):
    path = tmp_path / "diary.txt"
    path.write_text(text)
    assert "is not a file of the coach and was left as it is" in refusal(path)
    assert path.read_text() == text


def test_other_database_left_alone(tmp_path: Path):
    before = other_database(tmp_path / "recipes.db")
    assert "belongs to another program and was left as it is" in refusal(tmp_path / "recipes.db")
    assert (tmp_path / "recipes.db").read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["recipes.db"]


@pytest.mark.parametrize(("file", "folder"), [(0o444, 0o755), (0o000, 0o755), (None, 0o555)])
def test_forbidden_file_explained(file: int | None, folder: int):
    """In a process without rights over everything, and in a folder that it can reach."""
    place = Path(tempfile.mkdtemp())
    if file is not None:
        Journal.open(place / "coach.db").close()
        (place / "coach.db").chmod(file)
    place.chmod(folder)
    child = subprocess.run(
        [sys.executable, "-c", OPEN_AS_NOBODY, str(place / "coach.db")],
        env={**os.environ, "PYTHONPATH": str(Path(coachbot.__file__).parents[1])},
        capture_output=True,
        text=True,
    )
    place.chmod(0o755)
    shutil.rmtree(place)
    assert (child.stderr, "may not be written here. Give the user" in child.stdout) == ("", True)


def test_read_only_store_loses_nothing(journal: Journal):
    journal._db.execute("pragma query_only = on")
    with pytest.raises(JournalError, match="may not be written here"):
        journal.append("sam-1", 0, turn("one"), [say("a")], "event-1", at=AT)
    journal._db.execute("pragma query_only = off")
    assert journal.append("sam-1", 0, turn("one"), [say("a")], "event-1", at=AT) == 3


def test_full_disk_loses_nothing(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a")], at=AT)
    (pages,) = journal._db.execute("pragma page_count").fetchone()
    journal._db.execute(f"pragma max_page_count = {pages}")
    with pytest.raises(JournalError, match=r"is full\. Free some space and try again"):
        journal.append("sam-1", 3, turn("two" * 10_000), [say("b")], "event-2", at=AT)
    journal._db.execute(f"pragma max_page_count = {pages * 100}")
    assert journal.position("sam-1") == 3
    journal.append("sam-1", 3, turn("two"), [say("b")], "event-2", at=AT)
    assert journal.verify() == []


def test_locked_store_waits_then_says(journal: Journal, tmp_path: Path):
    other = sqlite3.connect(tmp_path / "coach.db", isolation_level=None)
    other.execute("begin immediate")
    start = time.monotonic()
    with pytest.raises(JournalError, match=r"in use by another program\. Try again, nothing was lost"):
        journal.append("sam-1", 0, turn("one"), [say("a")], "event-1", at=AT)
    assert 0.1 < time.monotonic() - start < 3
    assert journal.read("sam-1") == []  # reading goes on meanwhile
    other.execute("rollback")
    other.close()
    assert journal.append("sam-1", 0, turn("one"), [say("a")], "event-1", at=AT) == 3


def test_short_lock_is_waited_out(tmp_path: Path):
    """A writer in the still empty file: SQLite refuses the switch to WAL at once instead of waiting for it."""
    other = sqlite3.connect(tmp_path / "coach.db", isolation_level=None, check_same_thread=False)
    other.execute("begin immediate")
    assert "in use by another program" in refusal(tmp_path / "coach.db")
    end = threading.Timer(0.3, other.execute, ["rollback"])
    end.start()
    Journal.open(tmp_path / "coach.db", wait=10).close()
    end.join()
    other.close()


def test_damaged_file_explained(tmp_path: Path):
    """The first page of the facts is overwritten, or the second half of the file is cut off."""
    path = tmp_path / "coach.db"
    journal = Journal.open(path)
    for number in range(50):
        journal.append("sam-1", number * 3, turn(f"turn {number}"), [say("a")], at=AT)
    journal.close()
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * 4096 + whole[8192:])
    journal = Journal.open(path)
    with pytest.raises(JournalError, match=r"is damaged\. Keep it, and go on with the latest backup"):
        journal.read("sam-1")
    assert "is damaged" in journal.verify()[0]
    journal.close()
    path.write_bytes(whole[: len(whole) // 2])
    assert "is damaged. Keep it" in refusal(path)


def test_unreadable_fact_named(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [], at=AT)
    journal._db.execute("update journal set body = ? where position = 2", ['{"kind": "from-tomorrow"}'])
    with pytest.raises(JournalError, match=r"Fact 2 of the case sam-1 in .* cannot be read"):
        journal.read("sam-1")
    assert len(journal.read("sam-1", after=2)) == 1


def test_closed_journal_is_a_mistake(tmp_path: Path):
    """Using a journal after closing it is an error of the program, not of the file."""
    journal = Journal.open(tmp_path / "coach.db")
    journal.close()
    with pytest.raises(sqlite3.ProgrammingError):
        journal.cases()
