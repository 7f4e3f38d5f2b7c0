"""The weight on the last, loaded level of a ladder: up by two-for-two, to a weight the athlete has; never by guess."""

from math import ceil

from coachbot.core.book import Ladder
from coachbot.core.events import Loaded, Proposed, Reason, Scalar, Trained, Work
from coachbot.core.state import Rung
from coachbot.core.sums.strength import next_weight, one_rep_max, two_for_two
from coachbot.core.turn import Turn

from .safety import rises_blocked

PERCENT = 100


def told(turn: Turn, line: Work, result: Trained) -> None:
    """The first weight, from the athlete's own report: it is kept as it is."""
    rung = turn.state.ladders.get(line.family)
    if rung is None or result.weight is None or not turn.book.ladders[line.family].level(line.level).loaded:
        return
    if rung.load is None and line.level == rung.level and result.done:
        reason = Reason(rule="weight.told", saw={"kg": result.weight})
        turn.conclude(Loaded(at=turn.at, family=line.family, kilograms=result.weight, reason=reason))


def earned(turn: Turn, ladder: Ladder) -> None:
    """After a session that counts on the last level: a heavier weight, or more repetitions where none is near."""
    rung = turn.state.ladders[ladder.family]
    level = ladder.level(int(rung.level))
    strength = turn.book.programme.strength
    goal = int(turn.value(level.reps_high)) + rung.extra
    extra, sessions = int(turn.value(strength.two_for_two_reps)), int(turn.value(strength.two_for_two_sessions))
    last = _last_sets(turn, ladder.family, rung)
    if not level.loaded or rung.load is None or not two_for_two(last, goal, extra, sessions):
        return
    saw: dict[str, Scalar] = {"kg": rung.load, "reps": float(goal), "extra": float(extra), "sessions": float(sessions)}
    heavier = next_weight(
        rung.load,
        weights(turn, rung.load),
        turn.value(strength.load_step_low) / PERCENT,
        turn.value(strength.load_step_high) / PERCENT,
    )
    if heavier is None:
        _more_reps(turn, ladder.family, rung, extra, saw)
        return
    _heavier(turn, ladder.family, heavier, Reason(rule="weight.heavier", saw=saw, number=TWO_FOR_TWO))


TWO_FOR_TWO = "strength.two_for_two_sessions"


def confirmed(turn: Turn, family: str, by: str) -> float:
    """A clinician agreed to the heavier weight in kg that waited for their word."""
    heavier = turn.state.ladders[family].proposed_load
    assert heavier is not None, "only a weight that waits is confirmed"
    reason = Reason(rule="rise.confirmed", saw={"by": by})
    turn.conclude(Loaded(at=turn.at, family=family, kilograms=heavier, reason=reason))
    return heavier


def weights(turn: Turn, load: float) -> tuple[float, ...]:
    """The weights in kg to choose from: those the athlete has, else every usual step up to the largest rise."""
    if turn.state.kilograms:
        return turn.state.kilograms
    step = turn.number("weights.step")
    most = load * (1 + turn.value(turn.book.programme.strength.load_step_high) / PERCENT)
    return tuple(step * n for n in range(1, ceil(most / step) + 1))


def estimate(turn: Turn, family: str) -> tuple[float, int, float] | None:
    """The last loaded set of a family: kg, repetitions, and the least its one-repetition maximum can be, in kg.

    A set in rehabilitation is not done to failure, so the true one is higher; None above the formula's limit.
    """
    for session in reversed(turn.state.sessions):
        for number, result in session.results.items():
            line = session.lines[number]
            load = result.weight or (line.load if isinstance(line, Work) else None)
            if isinstance(line, Work) and line.family == family and load and result.repetitions:
                reps = result.repetitions[-1]
                many = not 1 <= reps <= turn.number("measurement.most_repetitions")
                return None if many else (load, reps, one_rep_max(load, reps, 0, reps))
    return None


def _last_sets(turn: Turn, family: str, rung: Rung) -> list[int]:
    """The repetitions of the last set of each session that counted at this level and weight, oldest first."""
    found = []
    for session in turn.state.sessions:
        for number, result in session.results.items():
            line = session.lines[number]
            same = isinstance(line, Work) and line.family == family and line.level == rung.level
            weight = (result.weight or line.load) if isinstance(line, Work) else None
            if same and session.verdict == "counts" and result.repetitions and weight == rung.load:
                found.append(result.repetitions[-1])
    return found


def _more_reps(turn: Turn, family: str, rung: Rung, extra: int, saw: dict[str, Scalar]) -> None:
    """The next weight is too far away: more repetitions at this one, up to a limit."""
    if rung.load is None or rung.extra + extra > turn.number("weights.most_extra"):
        return
    more = rung.extra + extra
    reason = Reason(rule="weight.more_reps", saw=saw, number="strength.load_step_high")
    turn.conclude(Loaded(at=turn.at, family=family, kilograms=rung.load, repetitions=more, reason=reason))


def _heavier(turn: Turn, family: str, kilograms: float, reason: Reason) -> None:
    if rises_blocked(turn.state):
        return
    if turn.state.signed:
        turn.conclude(Proposed(at=turn.at, item=family, to=kilograms, weight=True, reason=reason))
    else:
        turn.conclude(Loaded(at=turn.at, family=family, kilograms=kilograms, reason=reason))
