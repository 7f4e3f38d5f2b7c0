"""A bare number answers no screening question of the intake with yes or no: it is asked again, kindly."""

import pytest
from play import INTAKE, Play


def at_screen(slot_asked: str) -> Play:
    case = Play()
    case.hear("hello")
    for slot, answer in INTAKE.items():
        if slot == slot_asked:
            break
        case.plainly(answer)
    assert case.state.talk.topic == f"intake.{slot_asked}"
    return case


@pytest.mark.parametrize("slot", ["emergency", "urgent"])
@pytest.mark.parametrize("words", ["1", "1.", "0", " 1 !"])
def test_number_on_screening_asks_again(slot, words):
    case = at_screen(slot)
    said = case.hear(words)
    assert case.state.hold is None
    assert slot not in case.state.answers
    assert case.state.talk.topic == f"intake.{slot}"
    assert said.startswith("Sorry")


@pytest.mark.parametrize(("words", "held"), [("yes", True), ("no", False)])
def test_words_on_screening_still_count(words, held):
    case = at_screen("emergency")
    case.hear(words)
    assert (case.state.hold is not None) == held
