"""Several processes write to one file, even to one case, and nothing is lost or doubled."""

from collections import Counter
from pathlib import Path

import pytest

from coachbot.core.events import Heard
from coachbot.journal import Journal

from .turns import AT, say, spawn, turn


def race(file: Path, *arguments: tuple[object, ...]) -> None:
    """Starts one writer for each of the arguments, lets them go at the same moment and waits for all."""
    children = [spawn("write", file, *each) for each in arguments]
    for child in children:
        assert child.stdout.readline() == "ready\n", child.stderr.read()
    for child in children:
        child.stdin.write("go\n")
        child.stdin.flush()
    for child in children:
        _, errors = child.communicate(timeout=120)
        assert (child.returncode, errors) == (0, "")


def heard(journal: Journal) -> list[str]:
    return [fact.text for _, fact in journal.read("sam-1") if isinstance(fact, Heard)]


def test_two_writers_lose_nothing(tmp_path: Path):
    Journal.open(tmp_path / "coach.db").close()
    race(tmp_path / "coach.db", ("ann", 150), ("ben", 150))
    journal = Journal.open(tmp_path / "coach.db")
    words = heard(journal)
    for name in ("ann", "ben"):
        assert [each for each in words if each.startswith(name)] == [f"{name} {number}" for number in range(150)]
    assert journal.position("sam-1") == 2 * 150 * 3
    assert [each.text for each in journal.unsent(["sam"])] == words
    assert journal.verify() == []
    journal.close()


def test_same_arrivals_stored_once(tmp_path: Path):
    Journal.open(tmp_path / "coach.db").close()
    race(tmp_path / "coach.db", ("ann", 60, "event"), ("ben", 60, "event"))
    journal = Journal.open(tmp_path / "coach.db")
    assert Counter(words.split()[1] for words in heard(journal)) == {str(number): 1 for number in range(60)}
    journal.close()


@pytest.mark.parametrize("trial", range(3))
def test_first_starts_do_not_collide(tmp_path: Path, trial: int):
    race(tmp_path / "coach.db", *((f"writer{number}", 2) for number in range(4)))
    journal = Journal.open(tmp_path / "coach.db")
    assert journal.position("sam-1") == 4 * 2 * 3
    journal.close()


def test_writes_of_others_noticed(journal: Journal, tmp_path: Path):
    other = Journal.open(tmp_path / "coach.db")
    assert not journal.changed()
    other.append("sam-1", 0, turn("one"), [say("a")], at=AT)
    assert journal.changed()
    assert not journal.changed()
    journal.append("sam-1", 3, turn("two"), [], at=AT)
    assert not journal.changed()
    assert other.changed()
    other.close()
