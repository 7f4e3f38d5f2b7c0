"""Days of a judged case for the rule tests: what is asked is answered as a test says, day after day."""

from walk import Walk

from coachbot.core.events import Prescribed, Run, Stepped, Work


def started(approval: str = "approve slider hinge", **answers: str) -> Walk:
    """A case on the morning of its first session (day 2)."""
    walk = Walk().intake(**answers)
    walk.act(approval)
    walk.on(2)
    walk.morning()
    return walk


def evening(walk: Walk, day: int, **report: str) -> Walk:
    """The report of that day's session."""
    walk.on(day, 18)
    walk.report(**report)
    return walk


def trained(score: str = "0", response: str = "good", **report: str) -> Walk:
    """A first session reported on day 2, and the check-in of the next morning."""
    walk = evening(started(), 2, **report)
    walk.on(3)
    walk.morning(score, response=response)
    return walk


def days(walk: Walk, first: int, last: int, **report: str) -> Walk:
    """Ordinary days: the check-in in the morning and, when there was a session, its report in the evening."""
    for day in range(first, last):
        walk.on(day)
        walk.morning()
        if walk.state.session and walk.state.session.open:
            evening(walk, day, **report)
    return walk


def facts(walk: Walk, kind: type) -> list:
    """All facts of a kind."""
    return [event for event in walk.events if isinstance(event, kind)]


def loads(walk: Walk) -> list[Prescribed]:
    """The issued sessions with lines that load the leg."""
    return [issued for issued in walk.issued if any(line.reported for line in issued.lines)]


def level(walk: Walk, family: str) -> float:
    """Where a ladder stands."""
    return walk.state.ladders[family].level


def work(walk: Walk, family: str) -> Work | None:
    """Today's line of a family."""
    return next((n for n in walk.issued[-1].lines if isinstance(n, Work) and n.family == family), None)


def runs(walk: Walk) -> list[tuple[Prescribed, Run]]:
    """Every run issued, with its session."""
    return [(issued, line) for issued in walk.issued for line in issued.lines if isinstance(line, Run)]


def steps(walk: Walk, item: str) -> list[float]:
    """The levels or speeds an item stepped to, in order."""
    return [event.to for event in walk.events if isinstance(event, Stepped) and event.item == item]


def next_session(walk: Walk, day: int, wanted: str, score: str = "0") -> int:
    """Check-ins from this day on until a session has the family or the run; returns its day."""
    for each in range(day, day + 15):
        walk.on(each)
        walk.morning(score)
        walk.act("ack")
        if any((line.family if isinstance(line, Work) else "run") == wanted for line in walk.issued[-1].lines):
            return each
    raise AssertionError(f"no session with {wanted} in two weeks")
