"""Turns a case into what the week planner sees; it plans nothing itself."""

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from coachbot.core.book import Sourced
from coachbot.core.days import instant
from coachbot.core.events import Line, Run, Work
from coachbot.core.state import Session, State
from coachbot.core.turn import Turn

from .layout import Costs, Kind, Wishes, costs
from .running import farthest, open_speed, wants_gap
from .safety import day_of_injury

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
AROUND = range(-6, 9)  # the days around today the planner looks at: six back, the week, the day after it


def wishes(turn: Turn, *, opened: bool, run_today: bool) -> Wishes:
    """The coming week as this athlete wishes it, and what was really done in the last one.

    `opened`: training has begun; `run_today`: nothing this morning bars today's run.
    """
    state, today = turn.state, turn.today
    days = [today + timedelta(days=n) for n in AROUND]
    done = {day: _done(state, day, today) for day in days if day <= today}
    programme = turn.book.programme
    return Wishes(
        today=today,
        at=turn.at,
        starts={day: usual_start(turn, day) for day in days if day >= today},
        free=_weekdays(state, "days", otherwise=frozenset(range(len(WEEKDAYS)))),
        team=_team(state, days),
        strength_wanted=_wanted(turn, "strength", programme.strength.per_week),
        run_wanted=_wanted(turn, "run", programme.running.per_week),
        strength_open=opened,
        run_open=opened,
        run_from=_run_from(turn, run_today=run_today),
        fast=state.run is not None and wants_gap(turn, farthest(turn, open_speed(turn, state.run.level))),
        past={day: kind for day, kind in done.items() if day < today and kind is not Kind.REST},
        done_today=frozenset({done[today]} - {Kind.REST}),
        last_strength=_last(turn, lambda session, line: isinstance(line, Work)),
        last_run=_last(turn, lambda session, line: isinstance(line, Run)),
        last_fast=_last(turn, lambda session, line: _fast(turn, session, line)),
        announced={day: Kind(kind) for day, kind in state.announced.items() if day >= today},
    )


def _wanted(turn: Turn, kind: str, per_week: Sourced) -> int:
    """Sessions of a kind wanted in seven days: after the return only maintenance."""
    returned = turn.state.course == "returned"
    return int(turn.number(f"afterwards.{kind}_per_week") if returned else turn.value(per_week))


def usual_start(turn: Turn, day: date) -> datetime:
    """When a session usually begins on this day, in the athlete's zone."""
    hour = turn.value(turn.book.programme.course.session_hour)
    return instant(day, hour, turn.state.zone).astimezone(ZoneInfo(turn.state.zone))


def week_costs(turn: Turn) -> Costs:
    """The planner's numbers as they stand for this athlete."""
    programme = turn.book.programme
    numbers = {
        key.removeprefix("week."): turn.value(number)
        for key, number in turn.book.numbers.items()
        if key.startswith("week.")
    }
    gaps = {"strength_gap": turn.value(programme.strength.gap), "fast_gap": turn.value(programme.running.fast_gap)}
    return costs({**numbers, **gaps})


def did(session: Session, today: date) -> list[Line]:
    """The lines of a session that were done or, once its day is over, may have been: silence is not a rest day."""
    told = {n: result.done for n, result in session.results.items()}
    unsaid = session.day < today and not session.refused
    return [line for n, line in enumerate(session.lines) if line.reported and told.get(n, unsaid)]


def _done(state: State, day: date, today: date) -> Kind:
    kinds = {line.kind for s in state.sessions if s.day == day for line in did(s, today)}
    return Kind.REST if not kinds else Kind.BOTH if len(kinds) > 1 else Kind.RUN if "run" in kinds else Kind.STRENGTH


def _last(turn: Turn, wanted: Callable[[Session, Line], bool]) -> datetime | None:
    """The usual start of the last day with such a line: nobody is asked at what hour they trained."""
    for session in reversed(turn.state.sessions):
        if any(wanted(session, line) for line in did(session, turn.today)):
            return usual_start(turn, session.day)
    return None


def _fast(turn: Turn, session: Session, line: Line) -> bool:
    """Whether a run was fast, or may have been: by the speed told, else by the fastest that was allowed."""
    told = session.results.get(session.lines.index(line))
    top = told.top if told else None
    return isinstance(line, Run) and wants_gap(turn, line.up_to if top is None else max(line.percent, top))


def _run_from(turn: Turn, *, run_today: bool) -> date | None:
    """The first day on which a run may be: not too soon after the injury, nor after pain, nor on a sore morning."""
    earliest = [] if run_today else [turn.today + timedelta(days=1)]
    injured = turn.state.intake.get("injured_on")
    if day_of_injury(turn) is not None and "early-run" not in turn.state.opened:
        wait = int(turn.value(turn.book.programme.course.run_word_before_day))
        earliest.append(date.fromisoformat(str(injured)) + timedelta(days=wait))
    if turn.state.run and turn.state.run.not_before:
        wait_until = turn.state.run.not_before
        day = wait_until.astimezone(ZoneInfo(turn.state.zone)).date()
        earliest.append(day if usual_start(turn, day) >= wait_until else day + timedelta(days=1))
    return max(earliest, default=None)


def _weekdays(state: State, slot: str, otherwise: frozenset[int]) -> frozenset[int]:
    named = state.intake.get(slot)
    if not isinstance(named, tuple):
        return otherwise
    return frozenset(WEEKDAYS.index(day) for day in named if day in WEEKDAYS)


def _team(state: State, days: list[date]) -> Mapping[date, Literal["training", "match"]]:
    training = _weekdays(state, "team", frozenset())
    matches = _weekdays(state, "matches", frozenset())
    plan: dict[date, Literal["training", "match"]] = {}
    for day in days:
        if day.weekday() in matches:
            plan[day] = "match"
        elif day.weekday() in training:
            plan[day] = "training"
    return plan
