"""An exercise that was not done: no range and no pain is asked of it, and none is stored."""

import pytest
from play import Play

from coachbot.core.events import Trained, Work


def at_work() -> Play:
    case = Play().approved()
    for day in range(1, 10):
        case.on(day).morning("0")
        if case.state.session and case.state.session.open:
            break
    case.hear("done")
    assert case.state.talk.topic == "report.work"
    return case


def trained(case: Play) -> Trained:
    return next(fact for fact in case.last if isinstance(fact, Trained))


@pytest.mark.parametrize("words", ["no", "none", "didnt do it", "skipped"])
def test_left_out_asks_nothing_more(words):
    case = at_work()
    session = case.state.session
    assert session is not None
    first = session.left
    case.hear(words)
    result = trained(case)
    assert (result.done, result.complete, result.repetitions) == (False, False, ())
    assert (result.full_range, result.pain) == (None, None)  # nobody told them, so none is stored
    assert case.state.session is not None and case.state.session.left != first


def test_told_pain_is_kept():
    case = at_work()
    case.hear("none, pain 3")
    assert (trained(case).done, trained(case).pain) == (False, 3)


def test_corrected_to_nothing_goes_on():
    case = at_work()
    case.hear("3x8")
    assert case.state.talk.part == "work_range"
    case.hear("correct")
    case.hear("none")
    assert (trained(case).done, trained(case).pain) == (False, None)


def test_nothing_done_earns_nothing():
    case = at_work()
    session = case.state.session
    assert session is not None
    families = [line.family for line in session.lines if isinstance(line, Work) and line.reported]
    before = {family: case.state.ladders[family] for family in families}
    while case.state.talk.topic == "report.work":
        case.hear("no")
    case.hear("no")
    case.hear("5, 10 min")
    case.on(9).morning("0")
    assert {family: case.state.ladders[family].passes for family in families} == {
        f: r.passes for f, r in before.items()
    }
    assert {family: case.state.ladders[family].level for family in families} == {f: r.level for f, r in before.items()}
