"""What was answered together with unsure words is kept at once, and counts when the question about them ends badly."""

import pytest
from play import Play

from coachbot.core.events import Answered, MorningTaken, Trained

ODD = "felt gribbly behind the knee"


def checked(case: Play) -> list[tuple[float, bool]]:
    return [(m.walking, m.partial) for m in case.state.mornings]


def begun() -> Play:
    """A first morning with little pain."""
    case = Play().approved().on(1)
    case.morning("1")
    return case


def unsure(case: Play, edits: str | None = None) -> Play:
    """A score beside unsure words."""
    case.hear(f"6, {ODD}", edits=edits)
    assert case.state.talk.topic == "doubt.settle"
    return case


def asked() -> Play:
    return unsure(begun().on(2))


def corrected(edits: str | None) -> Play:
    """The second morning's score, corrected by the word for it or by an edit."""
    case = begun().on(2)
    case.morning("2")
    if edits is None:
        case.hear("correct")
    return unsure(case, edits)


def test_score_is_recorded_at_once():
    case = asked()
    assert [(fact.slot, fact.value) for fact in case.last if isinstance(fact, Answered)] == [("walking", 6.0)]
    assert "6 of 10" in case.told("sam") or "6 of 10" in case.told("athlete")


def test_settled_doubt_asks_the_rest():
    case = asked()
    case.hear("no")
    assert case.state.talk.question == "sudden"
    case.hear("no")
    assert checked(case) == [(1, False), (6, False)]
    assert sum(isinstance(fact, Answered) and fact.slot == "walking" and fact.value == 6 for fact in case.events) == 1


def test_unanswered_doubt_keeps_score():
    case = asked().on(2, 20)
    assert case.state.hold is not None
    assert checked(case) == [(1, False), (6, True)]
    assert "morning-jump" in {flagged.flag for flagged in case.state.flagged}


def test_hold_upon_doubt_keeps_score():
    case = asked()
    case.act("hold because seen limping")
    assert checked(case) == [(1, False), (6, True)]


def test_day_end_keeps_score():
    case = begun()
    case.on(2).hear("6")
    case.on(3)
    assert checked(case) == [(1, False), (6, True)]
    assert "morning-jump" in {flagged.flag for flagged in case.state.flagged}
    assert case.state.talk.topic == "morning.walking"


def test_partial_morning_issues_nothing():
    case = asked().on(2, 20)
    issued = len(case.issued)
    case.act("release because looked at it")
    assert len(case.issued) == issued
    assert case.state.morning is not None and case.state.morning.walking == 1


def test_later_check_in_replaces_partial():
    case = asked()
    case.act("hold because seen limping")
    case.act("release because walks well")
    case.hear("no")
    case.morning("2")
    assert checked(case) == [(1, False), (2, False)]


def test_line_beside_doubt_is_trained():
    case = Play().approved()
    for day in range(1, 12):
        case.on(day)
        case.morning("0")
        if case.state.session and any(line.reported for line in case.state.session.lines):
            break
    case.hear("done")
    while case.state.talk.question != "work":
        case.hear("3 reps, 40 %, pain 0")
    case.hear(f"all sets, full range, pain 5, {ODD}")
    assert case.state.talk.topic == "doubt.settle"
    pains = [fact.pain for fact in case.last if isinstance(fact, Trained)]
    assert pains == [5]


def test_pain_beside_doubt_ends_day():
    case = begun()
    case.hear("pain")
    unsure(case)
    case.act("hold because seen limping")
    case.act("release because walks well")
    case.hear("no")
    assert "ladder.over_limit" in {reason.rule for reason in case.issued[-1].reasons}
    assert not any(line.reported for line in case.issued[-1].lines)


@pytest.mark.parametrize("edits", [None, "m1"])
def test_correction_beside_doubt_counts(edits):
    case = corrected(edits)
    assert case.state.answers["walking"].value == 6
    case.on(2, 20)
    assert case.state.hold is not None
    assert checked(case) == [(1, False), (6, False)]


@pytest.mark.parametrize("edits", [None, "m1"])
def test_settled_correction_is_decided(edits):
    case = corrected(edits)
    case.hear("no")
    assert case.state.talk.topic == "idle"
    assert checked(case) == [(1, False), (6, False)]


def test_severe_score_holds_at_once():
    case = Play().approved().on(2)
    case.hear("pain")
    case.hear(f"9, {ODD}")
    assert case.state.hold is not None
    assert not any(isinstance(fact, MorningTaken) for fact in case.last)
