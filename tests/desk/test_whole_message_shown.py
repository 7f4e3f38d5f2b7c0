"""A clinician reads the athlete's whole message beside the words that raised an alert, so a misreading is seen."""

import json

import pytest
from play import Play

from coachbot.core.events import Alerted, dump, load
from coachbot.core.rules.safety import LONGEST, quoted

SAID = 'My sister felt a pop in her knee.\nI felt a "sharp" pop too'
SHOWN = "\"My sister felt a pop in her knee. I felt a 'sharp' pop too\""


@pytest.fixture
def alarmed(clinic):
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam")
    clinic.unsent("dr-lee")
    clinic.hear("sam", SAID)
    return clinic


def test_alert_quotes_the_whole_message(alarmed):
    (alert,) = alarmed.unsent("dr-lee")
    assert f"Whole message: {SHOWN}" in alert.text
    assert 'Words: "' in alert.text


def test_repeated_alert_quotes_it_again(alarmed):
    alarmed.unsent("dr-lee")
    alarmed.say("pass sam to dr-two")
    assert SHOWN in "\n".join(message.text for message in alarmed.unsent("dr-two"))


def test_case_view_shows_it_until_release(alarmed):
    assert SHOWN in alarmed.say("sam")
    alarmed.say("acknowledge sam")
    assert SHOWN in alarmed.say("sam")
    alarmed.say("release sam seen today")
    alarmed.say("yes")
    assert f"Whole message: {SHOWN}" not in alarmed.say("sam")


def test_why_shows_it(alarmed):
    assert f"Whole message with a sign in it: {SHOWN}" in alarmed.say("why sam")


def test_settled_doubt_quotes_what_was_asked_about():
    play = Play().approved().on(2)
    play.morning("1")
    play.hear("my leg feels kind of zingy when I sit")
    assert play.state.talk.dialog == "doubt"
    play.hear("yes")
    assert play.state.alerts["sam-a1"].said == ("my leg feels kind of zingy when I sit", "yes")


def test_long_message_is_cut():
    (word,) = quoted(["ab\u202e" * LONGEST])
    assert len(word.values["words"]) <= LONGEST + 1 and word.values["words"].endswith("…")
    assert "\u202e" not in word.values["words"]


def test_older_alert_still_loads():
    old = {"at": "2026-03-01T08:00:00Z", "kind": "alerted", "alert": "sam-a1", "flag": "pop", "tier": "same-day"}
    event = load(json.dumps({**old, "words": "a pop", "to": "dr-lee", "attempt": 1, "round": 1}))
    assert isinstance(event, Alerted) and event.said == ()
    assert load(dump(event)) == event
