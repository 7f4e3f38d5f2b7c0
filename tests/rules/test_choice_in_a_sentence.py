"""A choice told in a sentence is understood when only one can be meant; else it is asked again."""

import pytest
from test_days_left_out import at, picked


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("sprinting after a ball", "sprint"),
        ("chasing a ball, sprinting", "sprint"),
        ("kicked a ball hard", "kick"),
        ("got kicked by another guy", "other-way"),
        ("got kicked in the thigh", "other-way"),
        ("someone ran into me", "other-way"),
        ("sprinting and then kicked it", None),
        ("wasn't sprinting", None),
        ("no idea", None),
    ],
)
def test_how_it_happened(words, meant):
    assert picked("mechanism", words) == meant


@pytest.mark.parametrize("words", ["normal", "fine", "normally", "i walk fine", "I walk as normal", "same as always"])
def test_usual_walking(words):
    assert picked("gait", words) == "normal"


@pytest.mark.parametrize("words", ["i dont walk fine", "cant walk normally", "normal but a limp"])
def test_unclear_walking_is_asked_again(words):
    assert picked("gait", words) is None


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("yes same leg last year", "same-leg-year"),
        ("last year, the same one", "same-leg-year"),
        ("yeah, same one about 3 years ago", "same-leg-older"),
        ("did the other leg years ago", "other-leg"),
        ("yes the other one", "other-leg"),
        ("second time, did it last year", None),
        ("same leg", None),
        ("not the other leg", None),
        ("the first time was in 2019", None),
        ("no", "first-time"),
    ],
)
def test_earlier_injury(words, meant):
    assert picked("earlier", words) == meant


def test_stray_no_is_no_first_time():
    case = at("earlier")
    case.hear("second time, did it last year")
    said = case.hear("no")
    assert "earlier" not in case.state.answers
    assert "You can answer" in said
    case.hear("1")
    assert case.state.answers["earlier"].value == "first-time"


def test_sign_beside_a_choice_still_stops():
    case = at("mechanism")
    case.hear("sprinting and now i cant feel my foot")
    assert case.state.hold is not None
