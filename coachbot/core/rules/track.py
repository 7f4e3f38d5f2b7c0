"""The rules no week may break, worked out for each kind of session and day; it weighs and chooses nothing."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from coachbot.core.rules.layout import DAY, DAYS, RUN, STRENGTH, WEEK, Costs, Kind, Why, Wishes

HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class Gap:
    """The least time between two sessions: elapsed, with a tolerance, and in whole local days.

    The tolerance lets "two days later at the usual hour" pass when the clocks go forward (47 h). It counts
    only when the local days lie as far apart as the gap, so it never lets neighbouring days through.
    """

    least: timedelta
    tolerance: timedelta
    days: int = 0

    def between(self, earlier: datetime, later: datetime) -> bool:
        """Whether the gap lies between two aware instants; the days are those of the later one's zone."""
        # In UTC: Python subtracts two instants of one zone by the clock on the wall.
        elapsed = later.astimezone(UTC) - earlier.astimezone(UTC)
        days = later.date() - earlier.astimezone(later.tzinfo).date()
        if days < self.days * DAY:
            return False
        return elapsed >= self.least or (days >= self.least and elapsed >= self.least - self.tolerance)


@dataclass(frozen=True)
class Track:
    """One kind of session over the coming week, as far as the hard rules alone decide.

    bars: why no session may stand on that day, or None.  used: sessions before today that share the seven
    days ending on that day.  resume: after a session on that day, the first day for the next one.
    past: days of real sessions, 0 is today.  wanted: sessions wanted in the week, none while not open.
    gap: the reason a day too near another session gives.
    """

    bars: tuple[Why | None, ...]
    used: tuple[int, ...]
    resume: tuple[int, ...]
    past: frozenset[int]
    wanted: int
    gap: Why


def done(strength: Track, run: Track, day: int) -> int:
    """What was really done on a day up to today, as a place in KINDS."""
    return STRENGTH * (day in strength.past) | RUN * (day in run.past)


def tracks(wishes: Wishes, costs: Costs) -> tuple[Track, Track]:
    """The strength track and the running track."""
    strength_past = _past(wishes, Kind.STRENGTH, wishes.last_strength)
    run_past = _past(wishes, Kind.RUN, wishes.last_run)
    return _strength(wishes, costs, strength_past), _run(wishes, costs, run_past, 0 in strength_past)


def _strength(w: Wishes, c: Costs, past: frozenset[int]) -> Track:
    gap = Gap(c.strength_gap * HOUR, c.gap_tolerance * HOUR)
    rested = _rested(w, gap, w.last_strength, past)
    why_gap = Why("strength_gap", (("hours", round(c.strength_gap)),))

    def bar(day: int) -> Why | None:
        if day in past:
            return Why("done_today")
        return None if rested[day] else why_gap

    bars = _bars(w, w.strength_open, Why("strength_closed"), bar)
    wanted = w.strength_wanted if w.strength_open else 0
    return Track(bars, _used(past), _resume(w, gap, past), past, wanted, why_gap)


def _run(w: Wishes, c: Costs, past: frozenset[int], strength_done: bool) -> Track:
    fast_gap = Gap(c.fast_gap * HOUR, c.gap_tolerance * HOUR, days=2)
    gap = fast_gap if w.fast else Gap(0 * DAY, 0 * DAY)  # slow runs keep no gap, their rest is a wish
    rested = _rested(w, gap, w.last_fast, frozenset())
    why_gap = Why("fast_gap", (("hours", round(c.fast_gap)),))

    def bar(day: int) -> Why | None:
        if w.run_from and w.today + day * DAY < w.run_from:
            return Why("run_from", (("day", w.run_from),))
        if day in past:
            return Why("done_today")
        if day == 0 and strength_done:
            return Why("run_before_strength")
        if w.fast and w.team.get(w.today + (day + 1) * DAY) == "match":
            return Why("before_match")
        return None if rested[day] else why_gap

    bars = _bars(w, w.run_open, Why("run_closed"), bar)
    wanted = w.run_wanted if w.run_open else 0
    return Track(bars, _used(past), _resume(w, gap, past), past, wanted, why_gap)


def _bars(w: Wishes, is_open: bool, closed: Why, bar: Callable[[int], Why | None]) -> tuple[Why | None, ...]:
    """For each day the first thing that bars a session, from what concerns the whole day to its own kind."""

    def first(day: int) -> Why | None:
        local = w.today + day * DAY
        if local.weekday() not in w.free:
            return Why("not_free")
        if w.team.get(local) == "match":
            return Why("match_day")
        return bar(day) if is_open else closed

    return tuple(first(day) for day in DAYS)


def _past(w: Wishes, kind: Kind, last: datetime | None) -> frozenset[int]:
    """The days, counted from today, on which this kind was really done within seven days."""
    days = {(day - w.today).days for day, was in w.past.items() if was in (kind, Kind.BOTH)}
    if kind in w.done_today:
        days.add(0)
    if last:
        days.add((last.astimezone(w.starts[w.today].tzinfo).date() - w.today).days)
    return frozenset(day for day in days if -WEEK < day <= 0)


def _used(past: frozenset[int]) -> tuple[int, ...]:
    return tuple(sum(day - WEEK < earlier < 0 for earlier in past) for day in DAYS)


def _moment(w: Wishes, day: int) -> datetime:
    """When a session on this day would start: at the usual hour, today not before now."""
    start, now = w.starts[w.today + day * DAY], w.at.astimezone(UTC)
    return now.astimezone(start.tzinfo) if day == 0 and now > start else start


def _rested(w: Wishes, gap: Gap, last: datetime | None, past: frozenset[int]) -> tuple[bool, ...]:
    """For each day, whether the last real session is far enough back, by the instant and by the calendar."""
    latest = max(past, default=-WEEK)
    return tuple(
        (last is None or gap.between(last, _moment(w, day))) and (day - latest) * DAY >= gap.least for day in DAYS
    )


def _resume(w: Wishes, gap: Gap, past: frozenset[int]) -> tuple[int, ...]:
    moments, near = [_moment(w, day) for day in DAYS], replace(gap, days=0)

    def first(day: int) -> int:
        if day in past:  # what is done today keeps its gap by its own instant, see `_rested`
            return day + 1
        after = range(day + max(gap.days, 1), WEEK)  # by the label: another clock may make two dates of one night
        return next((later for later in after if near.between(moments[day], moments[later])), WEEK)

    return tuple(first(day) for day in DAYS)
