"""The guards of both tables: one function for each name that the flow files may use; each only looks."""

from collections.abc import Callable
from datetime import timedelta

from coachbot.core.events import Run
from coachbot.core.flow import GUARDS
from coachbot.core.turn import Turn

from . import afterwards
from .running import FAST
from .safety import day_of_injury


def _side_is_sure(turn: Turn) -> bool:
    return turn.state.answers["side_sure"].value is True


def _trained_last_time(turn: Turn) -> bool:
    return any(s.awaits_morning for s in turn.state.sessions)


def _run_left(turn: Turn) -> bool:
    return _next_line(turn) is Run


def _work_left(turn: Turn) -> bool:
    return _next_line(turn) is not None and not _run_left(turn)


def _next_line(turn: Turn) -> type | None:
    session = turn.state.session
    if session is None or session.left is None:
        return None
    return type(session.lines[session.left])


def _loading_may_start(turn: Turn) -> bool:
    """Approved, far enough from the injury, and walking is possible (walking pain within the limit)."""
    day, morning, programme = day_of_injury(turn), turn.state.morning, turn.book.programme
    if day is None or morning is None or morning.day != turn.today:
        return False
    return day >= turn.value(programme.course.load_from_day) and morning.walking <= turn.value(programme.pain.limit)


def _fast_open(turn: Turn) -> bool:
    return FAST in turn.state.opened


def _fast_reached(turn: Turn) -> bool:
    return turn.state.run is not None and turn.state.run.level >= turn.value(turn.book.stages[-1].first)


def _topped_out(turn: Turn) -> bool:
    wanted = turn.value(turn.book.programme.course.pain_free_days_at_top)
    return len(set(turn.state.topped)) >= wanted


def _several_languages(turn: Turn) -> bool:
    return len(turn.book.offered) > 1


_TABLE: dict[str, Callable[[Turn], bool]] = {
    "several_languages": _several_languages,
    "side_is_sure": _side_is_sure,
    "trained_last_time": _trained_last_time,
    "run_left": _run_left,
    "work_left": _work_left,
    "loading_may_start": _loading_may_start,
    "fast_open": _fast_open,
    "fast_reached": _fast_reached,
    "topped_out": _topped_out,
    "matched_yesterday": lambda turn: afterwards.match_on(turn, turn.today - timedelta(days=1)),
}
assert set(_TABLE) == GUARDS, "every guard name has one function here"


def guard(turn: Turn) -> Callable[[str], bool]:
    """A look-up of guards by name for this turn."""
    return lambda name: _TABLE[name](turn)
