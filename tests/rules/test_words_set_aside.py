"""Words that an open question could not use are kept for the clinician; short answers gone wrong are not."""

import pytest
from play import Play


def at_morning() -> Play:
    case = Play().approved()
    day = 0
    while not case.state.sessions or not case.state.sessions[-1].results:
        day += 1
        case.on(day).morning("0")
        if case.state.session and case.state.session.open:
            case.report()
    case.on(day + 1)
    case.hear("hello")
    case.hear("0")
    case.hear("no")
    assert case.state.talk.topic == "morning.response"
    return case


def remarks(case: Play) -> list[str]:
    return [remark.words for remark in case.state.remarks]


@pytest.mark.parametrize("words", ["i played a match", "actually pain was 5 on the hinge"])
def test_story_is_kept(words):
    case = at_morning()
    case.hear(words)
    assert case.state.talk.topic == "morning.response"
    assert remarks(case) == [words]


@pytest.mark.parametrize("words", ["7", "yes please", "banana", "thanks a lot", "3 4", "good"])
def test_short_answers_are_not(words):
    case = at_morning()
    case.hear(words)
    assert remarks(case) == []


def test_intake_keeps_no_remark():
    case = Play()
    case.hear("hello")
    case.hear("the one i kick with mostly")
    assert remarks(case) == []
