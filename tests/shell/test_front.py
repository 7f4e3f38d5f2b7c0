"""The front for Python does what its documentation shows."""

import textwrap
from pathlib import Path

import pytest

import coachbot
from coachbot.coach import UnknownPerson

from . import cases


def test_docstring_runs_as_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture):
    monkeypatch.chdir(tmp_path)
    names: dict = {}
    exec(textwrap.dedent((coachbot.__doc__ or "").partition("\n\n")[2].rpartition("\n\n")[0]), names)
    said = capsys.readouterr().out.splitlines()
    assert "Sam" in said[0]
    assert said[-1] == "enrolled"
    names["coach"].journal.close()


def test_message_waits_until_marked(tmp_path: Path):
    """The same arrival is taken once, and its reply is handed out again until it was marked as sent."""
    coach = coachbot.open(tmp_path / "clinic.sqlite")
    sam = coach.enrol("Sam", by="dr-lee", at=cases.now())
    first = coach.hear(sam, "hello", cases.now(), message="event-1")
    assert first == coach.hear(sam, "hello", cases.now(), message="event-1") != []
    coach.sent(first, cases.now())
    assert coach.unsent([sam]) == []
    coach.journal.close()


def test_namesakes_are_told_apart(tmp_path: Path):
    coach = coachbot.open(tmp_path / "clinic.sqlite")
    assert [coach.enrol("Sam", "dr-lee", cases.now()) for _ in range(3)] == ["sam", "sam2", "sam3"]
    coach.journal.close()


def test_stranger_is_refused(tmp_path: Path):
    """Nothing is written for somebody, or in a case, that is not there."""
    coach = coachbot.open(tmp_path / "clinic.sqlite")
    with pytest.raises(UnknownPerson, match="Nobody called nobody is known in this file"):
        coach.hear("nobody", "hi", cases.now())
    with pytest.raises(UnknownPerson):
        coach.act("dr-lee", "nobody", "hold until seen", cases.now())
    assert coach.journal.cases() == []
    coach.journal.close()


def test_erased_case_is_forgotten(tmp_path: Path):
    """Another process erased the case: it is neither known nor written any more, and no alarm of it rings."""
    coach = coachbot.open(tmp_path / "clinic.sqlite")
    sam = coach.enrol("Sam", "dr-lee", cases.now())
    coach.hear(sam, "hello", cases.now())
    other = coachbot.open(tmp_path / "clinic.sqlite")
    other.journal.erase(sam)
    with pytest.raises(UnknownPerson):
        coach.act("dr-lee", sam, "hold for now", cases.now())
    coach.tick(cases.now())
    assert (coach.next_wake(), other.journal.cases()) == (None, [])
    coach.journal.close()
    other.journal.close()
