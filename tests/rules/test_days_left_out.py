"""Days and things left out in the same breath ("mon to fri but not wed") are left out, or asked again."""

import pytest
from play import INTAKE, Play


def at(slot: str) -> Play:
    case = Play()
    case.hear("hello")
    for name, answer in INTAKE.items():
        if name == slot:
            break
        case.plainly(answer)
    return case


def picked(slot: str, words: str) -> object:
    case = at(slot)
    case.hear(words)
    answer = case.state.answers.get(slot)
    return answer and answer.value


DAYS = [
    ("mon to fri but not wed", "mon tue thu fri"),
    ("every day except sunday", "mon tue wed thu fri sat"),
    ("every day except for sat and sun", "mon tue wed thu fri"),
    ("all but friday", "mon tue wed thu sat sun"),
    ("any day apart from friday", "mon tue wed thu sat sun"),
    ("weekdays minus tue, thu", "mon wed fri"),
    ("mon to fri, can't do wed", "mon tue thu fri"),
    ("mon, tue, not wed, fri", "mon tue fri"),
    ("mon to thu", "mon tue wed thu"),
    ("mon wed fri", "mon wed fri"),
    ("every day", "mon tue wed thu fri sat sun"),
]
UNCLEAR = [
    "not every day",
    "mon to fri, wed off",
    "no mon",
    "mon tue but not wed and thu",
    "sat to mon",
    "but",
]


@pytest.mark.parametrize(("words", "days"), DAYS)
def test_left_out_day_is_no_day(words, days):
    assert picked("days", words) == tuple(days.split())


@pytest.mark.parametrize("words", UNCLEAR)
def test_unclear_days_are_asked_again(words):
    assert picked("days", words) is None


@pytest.mark.parametrize(
    ("words", "things"),
    [
        ("everything but weights", "sliders foot-anchor extension-bench bench step"),
        ("everything except a bench and sliders", "foot-anchor extension-bench step weights"),
        ("no weights, sliders, bench", "sliders bench"),
        ("bar and plates", "weights"),
        ("nothing", ""),
    ],
)
def test_left_out_thing_is_not_there(words, things):
    assert picked("equipment", words) == tuple(things.split())


@pytest.mark.parametrize(("words", "days"), [("tue and thu but not sat", "tue thu"), ("no", ""), ("none", "")])
def test_team_days(words, days):
    assert picked("team", words) == tuple(days.split())
