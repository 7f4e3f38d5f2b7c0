"""A bare number answers no question about danger with yes or no: it is asked again, kindly."""

import pytest
from play import INTAKE, Play


def at_emergency() -> Play:
    case = Play()
    case.hear("hello")
    for slot, answer in INTAKE.items():
        if slot == "emergency":
            break
        case.plainly(answer)
    assert case.state.talk.topic == "intake.emergency"
    return case


@pytest.mark.parametrize("words", ["1", "1.", "0", " 1 !"])
def test_number_on_screening_asks_again(words):
    case = at_emergency()
    said = case.hear(words)
    assert case.state.hold is None
    assert "emergency" not in case.state.answers
    assert case.state.talk.topic == "intake.emergency"
    assert said.startswith("Sorry")


@pytest.mark.parametrize(("words", "held"), [("yes", True), ("no", False)])
def test_words_on_screening_still_count(words, held):
    case = at_emergency()
    case.hear(words)
    assert (case.state.hold is not None) == held


def test_number_is_no_sudden_sign():
    case = Play().approved().on(1)
    case.hear("hello")
    case.hear("2")
    case.hear("1")
    assert case.state.hold is None
    assert case.state.talk.question == "sudden"
