"""The run in an athlete's own words: which number is which, the whole line said again, and no run at all."""

import pytest
from play import Play

from coachbot.core.events import Answered, Run, Trained


def at_run() -> Play:
    case = Play().approved()
    for day in range(1, 20):
        case.on(day).morning("0")
        session = case.state.session
        if session and session.day == case.state.mornings[-1].day and any(isinstance(x, Run) for x in session.lines):
            break
        if session and session.open:
            case.report()
    case.hear("done")
    assert case.state.talk.topic == "report.run"
    return case


def told(case: Play) -> dict[str, object]:
    return {fact.slot: fact.value for fact in case.last if isinstance(fact, Answered)}


def trained(case: Play) -> Trained:
    return next(fact for fact in case.last if isinstance(fact, Trained))


def test_pain_is_not_the_count():
    case = at_run()
    case.hear("ran 3 of em, 40 percent, bit of a 2")
    assert told(case) == {"run_reps": 3.0, "run_top": 40.0, "run_pain": 2.0}


def test_count_alone_is_no_pain():
    case = at_run()
    case.hear("ran 3 of those hilly ones")
    assert "run_pain" not in case.state.answers


@pytest.mark.parametrize("first", ["3", "3, 40 %"])
def test_whole_line_works_again(first):
    case = at_run()
    case.hear(first)
    case.hear("4, 40 %, pain 2")
    assert trained(case).repetitions == (4,)
    assert (trained(case).top, trained(case).pain) == (40, 2)


@pytest.mark.parametrize("words", ["skipped", "didnt run", "Didn't run.", "no run today"])
def test_no_run_is_no_run(words):
    case = at_run()
    case.hear(words)
    result = trained(case)
    assert (result.done, result.complete, result.repetitions) == (False, False, (0,))
    assert result.pain is None  # nobody told a score, so none is stored
    assert case.state.talk.topic != "report.run"


def test_zero_still_asks_pain():
    case = at_run()
    case.hear("0")
    assert case.state.talk.topic == "report.run"


def test_corrected_no_run_earns_nothing():
    case = at_run()
    case.hear("skipped")
    case.hear("correct")
    case.hear("3")
    session = case.state.session
    assert session is not None
    result = session.results[max(session.results)]
    assert (result.done, result.complete, result.pain) == (True, False, None)
    case.hear("no")
    case.hear("5, 30 min")
    before = case.state.run
    assert before is not None
    case.later(days=1)
    case.morning()
    assert case.state.run is not None and case.state.run.level == before.level
