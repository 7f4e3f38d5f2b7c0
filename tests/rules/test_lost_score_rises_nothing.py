"""A bad morning said together with unsure words is seen by what decides on rises, days later as well."""

from play import Play

from coachbot.core.events import Passed, Stepped


def trained() -> Play:
    """A case with a finished session that would earn its level on a good morning."""
    case = Play().approved()
    for day in range(1, 20):
        case.on(day).morning("1")
        if case.state.session and case.state.session.open:
            case.report(pain="1")
            if case.state.passed or any(rung.passes for rung in case.state.ladders.values()):
                return case
    raise AssertionError("nothing was earned in twenty days")


def days(case: Play) -> int:
    return (case.state.mornings[-1].day - case.state.mornings[0].day).days + 1


def test_bad_morning_beside_doubt_earns_nothing():
    case = trained()
    day = days(case) + 1
    before = {family: rung.passes for family, rung in case.state.ladders.items()}
    case.on(day).hear("6, felt gribbly behind the knee")
    case.on(day, 12)
    seen = len(case.events)
    case.act("release because seen, only stiff")
    case.on(day + 1).morning("1")
    since = case.events[seen:]
    assert "morning-jump" in {flagged.flag for flagged in case.state.flagged}
    assert not any(isinstance(fact, Passed | Stepped) for fact in since)
    assert all(rung.passes <= before[family] for family, rung in case.state.ladders.items() if family in before)
