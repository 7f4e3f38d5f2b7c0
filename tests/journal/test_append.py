"""A turn is stored once and whole, and comes back as it was."""

import sqlite3
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from coachbot.core.events import Heard
from coachbot.journal import AlreadyHeard, Journal, Outgoing, Overtaken

from .turns import AT, say, turn


def test_turn_comes_back_whole(journal: Journal):
    assert journal.append("sam-1", 0, turn("hello"), [say("hi")], "event-1", at=AT) == 3
    assert journal.read("sam-1") == list(enumerate(turn("hello"), 1))
    assert journal.position("sam-1") == 3


def test_only_newer_facts_read(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [], at=AT)
    journal.append("sam-1", 3, turn("two"), [], at=AT)
    assert journal.read("sam-1", after=3) == list(enumerate(turn("two"), 4))
    assert journal.read("sam-1", after=6) == []


def test_cases_listed_by_name(journal: Journal):
    assert journal.cases() == []
    for case in ("mia-1", "sam-1", "ali-2", "ali-1"):
        journal.append(case, 0, turn("hello"), [], at=AT)
    assert journal.cases() == ["ali-1", "ali-2", "mia-1", "sam-1"]
    assert journal.position("nobody") == 0


def test_same_arrival_stored_once(journal: Journal):
    journal.append("sam-1", 0, turn("hello"), [say("hi")], "event-1", at=AT)
    with pytest.raises(AlreadyHeard):
        journal.append("sam-1", 3, turn("hello"), [say("hi")], "event-1", at=AT)
    with pytest.raises(AlreadyHeard):  # also from a writer that has not seen the first
        journal.append("sam-1", 0, turn("hello"), [say("hi")], "event-1", at=AT)
    assert journal.position("sam-1") == 3
    assert len(journal.messages("sam-1")) == 1


def test_overtaken_writer_stores_nothing(journal: Journal):
    journal.append("sam-1", 0, turn("first"), [], at=AT)
    with pytest.raises(Overtaken) as refused:
        journal.append("sam-1", 0, turn("second"), [say("x")], "event-2", at=AT, kept={"sync": "2"})
    assert refused.value.position == 3
    assert journal.read("sam-1") == list(enumerate(turn("first"), 1))
    assert (journal.messages("sam-1"), journal.kept("sync")) == ([], None)
    journal.append("sam-1", 3, turn("second"), [], "event-2", at=AT)  # the arrival was not used up


def test_arrival_without_facts_remembered(journal: Journal):
    assert journal.append("sam-1", 0, [], [], "event-1", at=AT) == 0
    with pytest.raises(AlreadyHeard):
        journal.append("sam-1", 0, turn("again"), [], "event-1", at=AT)


def test_message_without_fact_refused(journal: Journal):
    with pytest.raises(ValueError, match="needs a fact"):
        journal.append("sam-1", 0, [], [say("hi")], at=AT)


def test_settings_stored_with_turn(journal: Journal):
    journal.append("sam-1", 0, turn("hello"), [], at=AT, kept={"sync": "s1", "alive": "now"})
    assert (journal.kept("sync"), journal.kept("alive")) == ("s1", "now")
    journal.append("sam-1", 3, turn("again"), [], at=AT, kept={"sync": "s2"})
    assert (journal.kept("sync"), journal.kept("alive")) == ("s2", "now")


def test_moments_stored_as_utc(journal: Journal, tmp_path: Path):
    here = datetime(2026, 3, 2, 8, 30, tzinfo=timezone(timedelta(hours=1)))
    journal.append("sam-1", 0, [Heard(at=here, text="hi")], [say("hello")], at=here)
    with sqlite3.connect(tmp_path / "coach.db") as raw:
        stored = raw.execute("select journal.at, made_at from journal join outbox").fetchone()
    raw.close()
    assert stored == ("2026-03-02T07:30:00+00:00", "2026-03-02T07:30:00+00:00")
    assert journal.messages("sam-1")[0].made_at == here


def test_moment_without_zone_refused(journal: Journal):
    with pytest.raises(ValueError, match="time zone"):
        journal.append("sam-1", 0, turn("hello"), [say("hi")], at=datetime(2026, 3, 2))
    assert journal.cases() == []


@pytest.mark.parametrize("words", ["", "🏃 ok", "a\x00b\x1b[31m", "x" * 10_000, "'); drop table journal; --"])
def test_any_words_come_back(journal: Journal, words: str):
    journal.append("sam-1", 0, [Heard(at=AT, text=words)], [say(words)], words, at=AT)
    assert journal.read("sam-1")[0][1] == Heard(at=AT, text=words)
    assert journal.messages("sam-1")[0].text == words
    assert journal.verify() == []


def test_alert_names_its_alert(journal: Journal):
    alert = Outgoing(to="dr-ada", kind="alert", text="Sam felt a pop", ask=True, alert="sam-1-2")
    journal.append("sam-1", 0, turn("pop"), [say("stop"), alert], at=AT)
    first, second = journal.messages("sam-1")
    assert (first.id, first.kind, first.ask, first.alert) == ("sam-1-3-1", "say", False, None)
    assert (second.id, second.kind, second.ask, second.alert) == ("sam-1-3-2", "alert", True, "sam-1-2")
