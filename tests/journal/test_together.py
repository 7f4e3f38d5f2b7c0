"""Several turns can be one transaction; whatever is erased in one is cleaned out of the file, also after a crash."""

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coachbot.core.events import Heard
from coachbot.journal import AlreadyHeard, Journal, Outgoing, Person

AT = datetime(2026, 3, 2, 8, tzinfo=UTC)
SECRET = "felt a pop on the second rep"


def turn(journal: Journal, case: str, after: int, words: str = "2 no", arrival: str | None = None) -> None:
    journal.append(case, after, [Heard(at=AT, text=words)], [Outgoing("sam", "say", "Today: a run.")], arrival, at=AT)


def test_all_or_nothing(tmp_path: Path) -> None:
    journal = Journal.open(tmp_path / "coach.sqlite")
    with pytest.raises(ZeroDivisionError), journal.together():
        turn(journal, "sam", 0, arrival="one")
        journal.keep("matrix agreed sam", "yes")
        journal.add_person(Person("sam", "Sam", "athlete", "sam"))
        raise ZeroDivisionError
    assert (journal.cases(), journal.people(), journal.unsent(["sam"])) == ([], [], [])
    assert journal.taken("one") is None and journal.kept("matrix agreed sam") is None


def test_refused_part_leaves_the_rest(tmp_path: Path) -> None:
    journal = Journal.open(tmp_path / "coach.sqlite")
    turn(journal, "sam", 0, arrival="one")
    with journal.together():
        turn(journal, "kim", 0)
        with pytest.raises(AlreadyHeard):
            turn(journal, "sam", 1, arrival="one")
        turn(journal, "sam", 1, arrival="two")
    assert journal.positions() == {"kim": 1, "sam": 2}
    assert journal.verify() == []


def test_others_see_it_at_once(tmp_path: Path) -> None:
    journal, other = (Journal.open(tmp_path / "coach.sqlite") for _ in range(2))
    with journal.together():
        turn(journal, "sam", 0)
        turn(journal, "kim", 0)
        assert other.cases() == []
    assert other.cases() == ["kim", "sam"]


def test_erased_together_leaves_no_bytes(tmp_path: Path) -> None:
    journal = Journal.open(tmp_path / "coach.sqlite")
    turn(journal, "sam", 0, SECRET)
    with journal.together():
        journal.erase("sam")
        turn(journal, "desk:lee", 0)
    assert SECRET.encode() not in left(tmp_path)


ERASER = """
import os, signal, sys
from coachbot.journal import Journal
Journal._sweep = lambda self: os.kill(os.getpid(), signal.SIGKILL)
Journal.open(sys.argv[1]).erase("sam")
"""


def test_killed_eraser_is_finished(tmp_path: Path) -> None:
    """Killed between erasing and cleaning the file: the next one who opens it cleans it."""
    journal = Journal.open(tmp_path / "coach.sqlite")
    for number in range(40):
        turn(journal, "sam", number, f"{SECRET} {number}")
    journal.close()
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    command = [sys.executable, "-c", ERASER, str(tmp_path / "coach.sqlite")]
    assert subprocess.run(command, env=environment, check=False).returncode == -signal.SIGKILL
    journal = Journal.open(tmp_path / "coach.sqlite")
    assert journal.kept("unswept") is None and journal.cases() == []
    assert SECRET.encode() not in left(tmp_path)


def left(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.iterdir())
