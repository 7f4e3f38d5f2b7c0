"""Today's session, or rest, or what to do instead, always with the reason; safety has spoken before."""

from collections.abc import Mapping
from datetime import date

from coachbot.core.events import Line, Planned, Prescribed, Reason, Scalar
from coachbot.core.state import State
from coachbot.core.turn import Turn

from . import lines
from .layout import BOTH, KINDS, Kind, Why
from .safety import day_of_injury, rises_blocked
from .signs import morning_jump
from .week import Plan, plan
from .wishes import week_costs, wishes

TRAINS = ("building", "sprinting", "testing", "returned")


BEHIND = {
    "strength": "strength.per_week",
    "strength_first": "strength.per_week",
    "strength_gap": "strength.gap",
    "strength_planned": "strength.gap",
    "run": "running.per_week",
    "run_first": "running.per_week",
    "run_from": "course.run_word_before_day",
    "fast_gap": "running.fast_gap",
    "run_planned": "running.fast_gap",
    "both": "week.same_day",
    "kept": "week.changed",
    "changed": "week.changed",
    "recover": "week.next_day",
}
"""The handbook entry behind a reason of the planner, where one stands behind it."""


def prescribe(turn: Turn) -> None:
    """Decide today's session from this morning's answers and record it."""
    if not may_train(turn.state, turn) or _settled(turn):
        return None
    rest = _must_rest(turn)
    if rest:
        return _issue(turn, (), (rest,))
    gentle = _only_gentle(turn)
    if gentle:
        return _issue(turn, lines.mobility(turn), (gentle,))
    return _train(turn)


def may_train(state: State, turn: Turn) -> bool:
    """Whether anything may be issued at all: approved, not held, not closed, and a morning answer today."""
    approved = state.approved_by is not None and state.course not in ("enrolled", "screened", "closed")
    answered = state.morning is not None and state.morning.day == turn.today
    return approved and state.hold is None and answered


def run_gate(turn: Turn) -> Reason | None:
    """What closes the run today: this morning's walking pain (None: open)."""
    morning, limit = turn.state.morning, turn.value(turn.book.programme.pain.limit)
    if morning is None or morning.walking > limit:
        score = morning.walking if morning else "–"
        return Reason(rule="run.walking_pain", saw={"score": score, "limit": limit}, number="pain.limit")
    return None


def _settled(turn: Turn) -> bool:
    """Whether today's session was already begun or reported, so that it must not change any more."""
    session = turn.state.session
    return session is not None and session.day == turn.today and bool(session.results or session.done_at)


def _must_rest(turn: Turn) -> Reason | None:
    """A morning score that calls for rest, or a day that is over already."""
    if turn.state.day_over and turn.state.day_over[0] == turn.today:
        return turn.state.day_over[1]
    words = morning_jump(turn)
    return Reason(rule="morning.rest", saw={"words": words}, number="morning.rise_rest") if words else None


def _only_gentle(turn: Turn) -> Reason | None:
    """An alert that nobody has taken yet, or the first days: gentle movement and walking only."""
    if rises_blocked(turn.state):
        return Reason(rule="today.waits_for_clinician")
    if turn.state.course not in TRAINS:
        day = day_of_injury(turn)
        saw: dict[str, Scalar] = {} if day is None else {"day": float(day)}
        return Reason(rule="today.early", saw=saw, number="course.load_from_day")
    return None


def week(turn: Turn) -> Plan:
    """The coming week as the rules allow it now."""
    return _week(turn, run_today=run_gate(turn) is None)


def replan(turn: Turn) -> None:
    """Announce the week anew when its days were changed; what was issued today stays, and nothing is issued."""
    if turn.state.course not in TRAINS:
        return
    state, today = turn.state, turn.today
    unheard = state.morning is None or state.morning.day != today  # a morning still to come closes no run
    days = _days(_week(turn, run_today=unheard or run_gate(turn) is None))
    issued = state.session is not None and state.session.day == today and today in state.announced
    _announce(turn, {**days, **({today: state.announced[today]} if issued else {})})


def _week(turn: Turn, *, run_today: bool) -> Plan:
    wished = wishes(turn, opened=turn.state.course in TRAINS, run_today=run_today)
    return plan(wished, week_costs(turn))


def _days(coming: Plan) -> dict[date, str]:
    return {day.date: day.kind.value for day in coming.days}


def _announce(turn: Turn, days: Mapping[date, str]) -> None:
    if days != dict(turn.state.announced):
        turn.conclude(Planned(at=turn.at, days=tuple(days.items())))


def _train(turn: Turn) -> None:
    coming = week(turn)
    _announce(turn, _days(coming))
    today = coming.days[0]
    reasons = [_because(why) for why in today.reasons]
    gate = run_gate(turn)
    reasons[:0] = [gate] if gate else _not_counted(turn)
    session: tuple[Line, ...] = ()
    if today.kind in (Kind.RUN, Kind.BOTH):
        session += (lines.run(turn),)
    if today.kind in (Kind.STRENGTH, Kind.BOTH):
        session += lines.strength(turn, optional=today.kind is not KINDS[BOTH])
    _issue(turn, session + lines.mobility(turn), tuple(reasons))


def _not_counted(turn: Turn) -> list[Reason]:
    """Why the last session is repeated, when this morning did not agree with it."""
    said = [c.reason for c in turn.state.reasons if c.at == turn.at and c.reason.rule.startswith("morning.")]
    return [r for r in said[-1:] if r.rule != "morning.counts"]


def _because(why: Why) -> Reason:
    saw = {key: value if isinstance(value, str) else _plain(value) for key, value in why.values}
    return Reason(rule=f"week.{why.key}", saw=saw, number=BEHIND.get(why.key))


def _plain(value: object) -> float | str:
    return float(value) if isinstance(value, int) else str(value)


def _issue(turn: Turn, session: tuple[Line, ...], reasons: tuple[Reason, ...]) -> None:
    last = turn.state.session
    again = last is not None and last.day == turn.today
    number = last.number if last and again else (last.number + 1 if last else 1)
    fact = Prescribed(
        at=turn.at,
        number=number,
        day=turn.today,
        lines=session,
        reasons=reasons,
        handbook=turn.book.version,
    )
    turn.conclude(fact)
