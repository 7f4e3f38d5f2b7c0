"""Whoever asks to play, sprint or run hears who decides and what is missing; nobody is cleared and nothing moves."""

import re

import pytest
from course import CRITERIA, gathering, returned
from play import Play

NEVER = "never my decision, because I cannot examine your leg. dr-lee decides that with you."
ASKED = [
    "can I play?",
    "Can I play on Saturday?",
    "am I cleared?",
    "can I sprint now?",
    "May I already run today",
    "When can I go back to team training?",
    "hi coach, is it ok to play tomorrow?",
    "I feel great, am I allowed to race again?",
    "have i been cleared yet",
]
NO_QUESTION = ["I played cards today", "can I swim", "the run was fine", "I can play the piano"]
CLEARS = re.compile(r"\b(cleared|clearance|(fit|ready|safe) to (play|return)|you (can|may) (play|sprint))\b", re.I)


def building() -> Play:
    play = Play().approved()
    play.on(6).morning()
    return play


@pytest.mark.parametrize("words", ASKED)
def test_who_decides_is_said(words):
    play = building()
    said = play.hear(words)
    assert NEVER in said
    assert "running above 80 % of your top speed" in said and "on 2 days" in said
    assert not CLEARS.search(said.replace("Whether you may play", ""))


@pytest.mark.parametrize("words", ASKED)
def test_nothing_changes(words):
    play = building()
    before = play.state
    play.hear(words)
    assert play.kinds() == ["heard"]
    assert (play.state.course, play.state.opened, play.state.talk) == (before.course, before.opened, before.talk)


@pytest.mark.parametrize("words", NO_QUESTION)
def test_other_words_are_no_question(words):
    assert NEVER not in building().hear(words)


def test_open_question_is_asked_again():
    play = Play().approved().on(6)
    said = play.hear("can I play on Saturday?")
    assert NEVER in said and said.endswith("Say so if you took a painkiller.")
    assert (play.state.talk.topic, play.state.talk.tries) == ("morning.walking", 0)


def test_answer_beside_it_counts():
    play = Play().approved().on(6)
    said = play.hear("walking pain 2, can I play?")
    assert NEVER in said and "Walking pain: 2 of 10." in said


def test_message_to_the_clinician_stays_one():
    play = building()
    play.hear("talk to my clinician")
    said = play.hear("can I play on Saturday?")
    assert "passed your message on" in said and NEVER not in said


def test_sign_comes_first():
    play = building()
    said = play.hear("felt a pop in my hamstring, can I still play?")
    assert play.state.hold is not None and "Please stop all training" in said


def test_words_on_hold_go_on():
    play = building()
    play.act("hold new swelling")
    said = play.hear("can I play?")
    assert NEVER in said and "Training stays stopped" in said and "Not open yet" not in said
    assert play.kinds() == ["heard", "kept", "passed-on"]


def test_missing_criteria_are_named():
    play, day = gathering()
    play.on(day + 1).morning()
    for line in CRITERIA:
        play.act(line)
    said = play.hear("am I cleared?")
    assert NEVER in said and "So far 4 of 8 points" in said
    assert "your clinician's signature" in said and "stretch tests" not in said


def test_all_but_the_signature_is_not_enough():
    play, day = gathering()
    play.on(day + 1).morning()
    for line in (*CRITERIA, "measure confidence 90 80 90 90 80 90", "measure team session 2"):
        play.act(line)
    play.later(days=1)
    play.act("measure sport test 0")
    said = play.hear("so can I play now?")
    assert "So far 7 of 8 points" in said and "Still missing: your clinician's signature." in said
    assert not CLEARS.search(said.replace("Whether you may play", ""))


def test_signature_is_named_after_it():
    play, _ = returned()
    said = play.hear("can I play?")
    assert NEVER in said and "dr-lee signed your return to sport on" in said


def test_edited_message_corrects_nothing():
    play = building()
    play.hear("can I play?", edits="earlier")
    assert play.kinds() == ["heard"]
