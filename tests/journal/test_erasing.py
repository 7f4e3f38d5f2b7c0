"""One person can be erased to the last byte, and a backup holds everything, without touching the others."""

import random
import sqlite3
from pathlib import Path

import pytest

from coachbot.core.events import Noted
from coachbot.journal import AlreadyHeard, Journal, JournalError, Person

from .turns import AT, say, turn

CASES = [f"case{number:02d}" for number in range(12)]


def fill(journal: Journal, turns: int) -> None:
    """Many turns of all cases in turn, of very unequal length, so that rows move between pages."""
    draw = random.Random(7)
    for case in CASES:
        journal.add_person(Person(f"person-{case}", f"NAME{case}", "athlete", case, f"@{case}:home.example"))
    for number in range(turns):
        case = draw.choice(CASES)
        words = f"SECRET{case} " * draw.choice([1, 3, 10, 40, 400])
        after = journal.position(case)
        note = Noted(at=AT, by="dr-ada", note=words)
        journal.append(case, after, [note, note], [say(words, f"person-{case}")], f"{case} event {number}", at=AT)
        journal.mark_sent([f"{case}-{after + 2}-1"] if draw.random() < 0.5 else [], AT)


def test_erased_case_leaves_no_bytes(journal: Journal, tmp_path: Path):
    journal._db.execute("pragma synchronous = off")
    fill(journal, 1200)
    gone, others = CASES[::4], [case for case in CASES if CASES.index(case) % 4]
    before = {case: (journal.read(case), journal.messages(case)) for case in others}
    for case in gone:
        journal.erase(case)
    left = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert [(name, case) for name in left for case in gone if case.encode() in left[name]] == []
    assert others[0].encode() in left["coach.db"]
    assert {case: (journal.read(case), journal.messages(case)) for case in others} == before
    assert journal.verify() == []
    assert journal.cases() == others
    assert [person.case for person in journal.people()] == others


def test_erasing_frees_its_arrivals(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a")], "event-1", at=AT)
    journal.append("ali-1", 0, turn("one"), [say("a")], "event-2", at=AT)
    journal.erase("sam-1")
    assert journal.position("sam-1") == 0
    journal.append("sam-2", 0, turn("one"), [say("a")], "event-1", at=AT)
    with pytest.raises(AlreadyHeard):
        journal.append("ali-1", 3, turn("one"), [say("a")], "event-2", at=AT)


def test_reader_in_the_way_is_said(journal: Journal, tmp_path: Path):
    journal.append("sam-1", 0, turn("SECRET"), [say("a")], at=AT)
    reader = sqlite3.connect(tmp_path / "coach.db", isolation_level=None)
    reader.execute("begin")
    reader.execute("select count(*) from journal").fetchone()
    with pytest.raises(JournalError, match="Close that program and erase the case again"):
        journal.erase("sam-1")
    reader.close()
    journal.erase("sam-1")
    assert not any(b"SECRET" in path.read_bytes() for path in tmp_path.iterdir())


def test_backup_opens_like_the_file(journal: Journal, tmp_path: Path):
    fill(journal, 30)
    journal.backup(tmp_path / "copy.db")
    assert (tmp_path / "copy.db").stat().st_mode & 0o777 == 0o600
    copy = Journal.open(tmp_path / "copy.db")
    for case in CASES:
        assert (copy.read(case), copy.messages(case)) == (journal.read(case), journal.messages(case))
    assert copy.people() == journal.people()
    assert copy.verify() == []
    copy.close()


def test_backup_replaces_nothing(journal: Journal, tmp_path: Path):
    (tmp_path / "copy.db").write_text("precious")
    with pytest.raises(JournalError, match="is there already"):
        journal.backup(tmp_path / "copy.db")
    assert (tmp_path / "copy.db").read_text() == "precious"
    with pytest.raises(JournalError, match="does not exist"):
        journal.backup(tmp_path / "no" / "copy.db")
