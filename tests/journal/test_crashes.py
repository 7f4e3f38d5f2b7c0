"""A process that dies in the middle of a turn leaves all of it or nothing, and a retry stores it once."""

import contextlib
import shutil
import signal
from pathlib import Path

import pytest

from coachbot.journal import AlreadyHeard, Journal

from .turns import AT, say, spawn, turn

CALLS = 7  # begin, arrival, position, facts, messages, settings, commit
WHOLE = (6, ("first", "second"), "2")
NOTHING = (3, ("first",), "1")


def stored(journal: Journal) -> tuple[int, tuple[str, ...], str | None]:
    """How far the case is, its messages, and the setting: what a turn changes."""
    assert journal.verify() == []
    words = tuple(message.text for message in journal.messages("sam-1"))
    return journal.position("sam-1"), words, journal.kept("sync")


def begin(file: Path) -> Journal:
    journal = Journal.open(file)
    journal.append("sam-1", 0, turn("first"), [say("first")], "event-1", at=AT, kept={"sync": "1"})
    return journal


def again(journal: Journal) -> None:
    with contextlib.suppress(AlreadyHeard):
        after = journal.position("sam-1")
        journal.append("sam-1", after, turn("second"), [say("second")], "event-2", at=AT, kept={"sync": "2"})


@pytest.mark.parametrize("step", range(1, CALLS + 2))
def test_killed_writer_halves_nothing(tmp_path: Path, step: int):
    begin(tmp_path / "coach.db").close()
    child = spawn("crash", tmp_path / "coach.db", step)
    _, errors = child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL, errors
    journal = Journal.open(tmp_path / "coach.db")
    assert stored(journal) == (WHOLE if step > CALLS else NOTHING)
    again(journal)
    assert stored(journal) == WHOLE
    assert [fact for _, fact in journal.read("sam-1")] == turn("first") + turn("second")
    journal.close()


def test_torn_log_halves_nothing(tmp_path: Path):
    """A power cut leaves the first part of the log on the disk, cut anywhere."""
    begin(tmp_path / "coach.db").close()  # closing moves the first turn from the log into the file
    journal = Journal.open(tmp_path / "coach.db")
    again(journal)
    log = (tmp_path / "coach.db-wal").read_bytes()
    seen = []
    for length in [*range(0, len(log), 509), len(log)]:
        torn = tmp_path / f"torn-{length}.db"
        shutil.copy(tmp_path / "coach.db", torn)
        torn.with_name(f"{torn.name}-wal").write_bytes(log[:length])
        survivor = Journal.open(torn)
        seen.append(stored(survivor))
        survivor.close()
    journal.close()
    assert set(seen[:-1]) == {NOTHING}
    assert seen[-1] == WHOLE
