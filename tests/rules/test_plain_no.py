"""Kind words around a no leave it a no, and words around a morning score leave it a score."""

import pytest
from play import Play

CALM = [
    "no nothing like that",
    "no, just a joke",
    "nah just a joke",
    "nope, only joking",
    "no that was a joke",
    "no no all fine",
]


def doubted() -> Play:
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear("felt gribbly behind the knee")
    assert case.state.talk.topic == "doubt.settle"
    return case


@pytest.mark.parametrize("words", CALM)
def test_calm_words_leave_no(words):
    case = doubted()
    case.hear(words)
    assert case.state.answers["doubt"].value is False
    assert case.state.talk.topic == "morning.walking"


@pytest.mark.parametrize("words", ["yes, just a joke", "just a joke", "all fine"])
def test_calm_words_are_no_answer(words):
    case = doubted()
    case.hear(words)
    assert "doubt" not in case.state.answers


def test_red_flag_beside_joke_alerts():
    case = doubted()
    case.hear("no, just a joke, but i felt a pop in my hamstring")
    assert case.state.hold is not None


@pytest.mark.parametrize(
    ("words", "score", "masked"),
    [("2 took some ibuprofen, no", 2, True), ("bout 1, nope", 1, False), ("1 no grand", 1, False)],
)
def test_morning_in_own_words(words, score, masked):
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear(words)
    morning = case.state.morning
    assert morning is not None
    assert (morning.walking, morning.masked, morning.sudden) == (score, masked, False)


def test_no_before_story_keeps_score():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear("6 no, went to bed early after")
    assert case.state.answers["walking"].value == 6
    assert case.state.talk.question == "sudden"
