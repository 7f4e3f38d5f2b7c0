"""Chooses the coming week: of all layouts the hard rules leave, the one whose broken wishes cost least.

It never bends a hard rule (those are in `layout`) and words no reason (that is `grounds`).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from math import inf

from coachbot.core.rules.grounds import gave, reasons
from coachbot.core.rules.layout import (
    BOTH,
    DAY,
    DAYS,
    KINDS,
    RUN,
    STRENGTH,
    WEEK,
    Costs,
    Gap,
    Kind,
    Layout,
    Track,
    Why,
    Wishes,
    costs,
    done,
    tracks,
)

__all__ = ["Costs", "Day", "Gap", "Kind", "Plan", "Why", "Wishes", "costs", "plan"]

# Of layouts that cost the same the first in this order wins, compared day by day from today on.
ORDER = (STRENGTH, RUN, BOTH, 0)
LONG_AGO = -2 * WEEK


@dataclass(frozen=True)
class Day:
    """One day of the plan; for today `kind` is what is still to be done."""

    date: date
    kind: Kind
    reasons: tuple[Why, ...]


@dataclass(frozen=True)
class Plan:
    """Seven days from today, the points their broken wishes cost, and what had to give."""

    days: tuple[Day, ...]
    cost: int
    gave: tuple[Why, ...]


def plan(wishes: Wishes, costs: Costs) -> Plan:
    """The cheapest week that breaks no hard rule; equal wishes give equal plans.

    Raises KeyError when `wishes.starts` lacks one of the seven days, TypeError when an instant is naive.
    """
    strength, run = tracks(wishes, costs)
    layout = _cheapest(wishes, costs, strength, run)
    broken = tuple(_broken(wishes, strength, run, layout))
    days = tuple(
        Day(wishes.today + day * DAY, KINDS[layout[day]], reasons(wishes, strength, run, layout, day))
        for day in DAYS
    )
    return Plan(days, _price(costs, (name for name, _ in broken)), gave(wishes, strength, run, broken))


def _session(w: Wishes, day: int, kind: int) -> list[str]:
    """The wishes a session of strength or a run breaks by standing on this day."""
    local = w.today + day * DAY
    broken = ["later"] * day
    if kind == STRENGTH and w.team.get(local) == "training":
        broken.append("strength_with_team")
    if kind == STRENGTH and w.team.get(local + DAY) == "match":
        broken.append("strength_before_match")
    if kind == RUN and w.fast and w.team.get(local - DAY) == "match":
        broken.append("fast_after_match")
    return broken


def _whole(w: Wishes, day: int, whole: int) -> list[str]:
    """The wishes a day breaks by all it holds, what is already done today included."""
    broken = ["same_day"] if whole == BOTH else []
    if w.announced.get(w.today + day * DAY, KINDS[whole]) != KINDS[whole]:
        broken.append("changed")
    return broken


def _neighbours(before: int, whole: int) -> list[str]:
    """The wishes two days in a row break by what they hold."""
    if not (before and whole):
        return []
    return ["next_day", "repeat_next_day"] if before & whole else ["next_day"]


def _crowded(track: Track, gap: int) -> list[str]:
    """Once for every day a session comes sooner after the last than an even spread over the week asks."""
    return ["uneven"] * (WEEK // track.wanted - gap) if track.wanted else []


def _price(c: Costs, broken: Iterable[str]) -> int:
    return sum(getattr(c, name) for name in broken)


def _start(track: Track) -> tuple[int, int]:
    """The day of the last real session and the sessions still wanted."""
    return max(track.past, default=LONG_AGO), max(0, track.wanted - (0 in track.past))


def _broken(w: Wishes, strength: Track, run: Track, layout: Layout) -> Iterator[tuple[str, int]]:
    """Every broken wish of a layout by name, with its day."""
    before = done(strength, run, -1)
    for day, kind in enumerate(layout):
        whole = kind | done(strength, run, day)
        yield from ((name, day) for name in _whole(w, day, whole) + _neighbours(before, whole))
        before = whole
    for track, bit, missed in ((strength, STRENGTH, "strength_missed"), (run, RUN, "run_missed")):
        last, need = _start(track)
        for day in (day for day, kind in enumerate(layout) if kind & bit):
            yield from ((name, day) for name in _session(w, day, bit) + _crowded(track, day - last))
            last, need = day, need - 1
        yield from ((missed, WEEK) for _ in range(need))


def _cheapest(w: Wishes, c: Costs, strength: Track, run: Track) -> Layout:
    """Depth first over the days; a branch is left once its cost and the least to come reach the best."""
    strength_price = [_price(c, _session(w, day, STRENGTH)) for day in DAYS]
    run_price = [_price(c, _session(w, day, RUN)) for day in DAYS]
    strength_least = _least(strength, strength_price, c.strength_missed)
    run_least = _least(run, run_price, c.run_missed)
    strength_near = [_price(c, _crowded(strength, gap)) for gap in range(WEEK - LONG_AGO)]
    run_near = [_price(c, _crowded(run, gap)) for gap in range(WEEK - LONG_AGO)]
    places = range(len(KINDS))
    follow = [[_price(c, _neighbours(before, whole)) for whole in places] for before in places]
    choices = [_choices(w, c, strength, run, day) for day in DAYS]
    best, layout = inf, [0] * WEEK
    found: Layout = ()

    def visit(day: int, s: int, r: int, need_s: int, need_r: int, before: int, cost: int) -> None:
        nonlocal best, found
        if day == WEEK:
            best, found = cost + strength_least[WEEK][need_s] + run_least[WEEK][need_r], tuple(layout)
            return
        for kind, whole, price in choices[day]:
            at_s, at_r, left_s, left_r = s, r, need_s, need_r
            price += cost + follow[before][whole]
            if kind & STRENGTH:
                if need_s <= strength.used[day] or (s >= 0 and day < strength.resume[s]):
                    continue
                price += strength_price[day] + strength_near[day - s]
                at_s, left_s = day, need_s - 1
            if kind & RUN:
                if need_r <= run.used[day] or (r >= 0 and day < run.resume[r]):
                    continue
                price += run_price[day] + run_near[day - r]
                at_r, left_r = day, need_r - 1
            if price + strength_least[day + 1][left_s] + run_least[day + 1][left_r] < best:
                layout[day] = kind
                visit(day + 1, at_s, at_r, left_s, left_r, whole, price)

    (s, need_s), (r, need_r) = _start(strength), _start(run)
    visit(0, s, r, need_s, need_r, done(strength, run, -1), 0)
    return found


def _choices(w: Wishes, c: Costs, strength: Track, run: Track, day: int) -> list[tuple[int, int, int]]:
    """What a day may hold by itself: the kind, the kind with what is done, the price of the whole."""
    barred = STRENGTH * (strength.bars[day] is not None) | RUN * (run.bars[day] is not None)
    kinds = [(kind, kind | done(strength, run, day)) for kind in ORDER if not kind & barred]
    return [(kind, whole, _price(c, _whole(w, day, whole))) for kind, whole in kinds]


def _least(track: Track, price: list[int], missed: int) -> list[list[int]]:
    """The least that is still to come from each day on, by sessions still wanted, for this kind alone."""
    least = [[missed * need for need in range(track.wanted + 1)]]
    for day in reversed(DAYS):
        skip, row = least[0], list(least[0])
        if track.bars[day] is None:
            after = least[track.resume[day] - day - 1]
            for need in range(track.used[day] + 1, track.wanted + 1):
                row[need] = min(skip[need], price[day] + after[need - 1])
        least.insert(0, row)
    return least
