"""Remarks on how the days are going: trend, flare and training load; remarks only, they decide nothing.

A day without an answer is a gap. No ratio of recent to usual load is computed.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from coachbot.core.state import Session
from coachbot.core.sums import load
from coachbot.core.sums.trend import Trend, TrendRule, flare, trend
from coachbot.core.turn import Turn

from .morning import usual

WEEK = 7


def pain_trend(turn: Turn) -> Trend:
    """Where the morning scores are going. A score under a painkiller is no answer here."""
    rule = TrendRule(
        window=turn.number("trend.window"),
        answers=turn.number("trend.least_answers"),
        span=turn.number("trend.least_days"),
        p=turn.number("trend.chance"),
        change=turn.number("trend.least_change"),
        running=turn.number("trend.days_running"),
    )
    answers = sorted((m.day.toordinal(), m.walking) for m in turn.state.mornings if not m.masked)
    return trend(answers, turn.today.toordinal(), rule)


def flared(turn: Turn) -> bool:
    """Whether this morning's score is a flare over the usual one before it and before yesterday's."""
    mornings = {m.day: m.walking for m in turn.state.mornings}
    today, yesterday = mornings.get(turn.today), mornings.get(turn.today - timedelta(days=1))
    before = [m.walking for m in turn.state.mornings if m.day < turn.today - timedelta(days=1)]
    if today is None or not before:
        return False
    base = usual(before, int(turn.number("morning.base_mornings")))
    return flare(base, today, yesterday, turn.number("trend.flare"), turn.number("trend.flare_twice"))


@dataclass(frozen=True)
class Weeks:
    """The last seven whole days, the seven before them, and the change as a share (None: a day is missing)."""

    now: load.Week
    before: load.Week
    change: float | None


def weeks(turn: Turn) -> Weeks:
    """Training load of the last seven days that are over, and of the seven before."""
    last = turn.today - timedelta(days=1)
    now, before = _week(turn, last), _week(turn, last - timedelta(days=WEEK))
    return Weeks(now, before, load.weekly_change(now, before))


def _week(turn: Turn, last: date) -> load.Week:
    return load.week([day_load(turn, last - timedelta(days=back)) for back in reversed(range(WEEK))])


def day_load(turn: Turn, day: date) -> float | None:
    """The load of a local day in effort x minutes; 0 for a day known to be without a session, None when not known."""
    sessions = [s for s in turn.state.sessions if s.day == day and any(line.reported for line in s.lines)]
    if not sessions:
        return 0.0 if any(m.day == day for m in turn.state.mornings) else None
    loads = [_session(turn, session) for session in sessions]
    return None if None in loads else sum(each for each in loads if each is not None)


def _session(turn: Turn, session: Session) -> float | None:
    if session.skipped:
        return 0.0 if session.refused else None
    if session.done_at is None or session.effort is None or session.minutes is None:
        return None
    return load.session_load(session.effort, session.minutes, turn.number("measurement.effort_hardest"))


def fast_metres(turn: Turn, first: date, last: date) -> float:
    """Metres run above the programme's share of own top speed from the first to the last local day."""
    sessions = (s for s in turn.state.sessions if first <= s.day <= last)
    return sum(result.fast_metres for s in sessions for result in s.results.values())
