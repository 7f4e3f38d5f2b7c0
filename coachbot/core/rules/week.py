"""Chooses the coming week: of all layouts the hard rules leave, the one whose broken wishes cost least.

It never bends a hard rule (those are in `layout`) and words no reason (that is `grounds`).
"""

from dataclasses import dataclass
from datetime import date
from math import inf

from coachbot.core.rules.grounds import gave, reasons
from coachbot.core.rules.layout import (
    DAY,
    DAYS,
    KINDS,
    RUN,
    STRENGTH,
    WEEK,
    Costs,
    Kind,
    Layout,
    Why,
    Wishes,
    costs,
)
from coachbot.core.rules.price import broken, choices, follows, price, prices, start
from coachbot.core.rules.track import Gap, Track, done, tracks

__all__ = ["Costs", "Day", "Gap", "Kind", "Plan", "Why", "Wishes", "costs", "plan"]


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
    bill = tuple(broken(wishes, strength, run, layout))
    days = tuple(
        Day(wishes.today + day * DAY, KINDS[layout[day]], reasons(wishes, strength, run, layout, day)) for day in DAYS
    )
    return Plan(days, price(costs, [name for name, _ in bill]), gave(wishes, strength, run, bill))


def _cheapest(w: Wishes, c: Costs, strength: Track, run: Track) -> Layout:
    """Depth first over the days; a branch is left once its cost and the least to come reach the best."""
    kinds = [choices(w, c, strength, run, day) for day in DAYS]
    follow = follows(c)
    lift = prices(w, c, strength, STRENGTH, c.strength_missed)
    jog = prices(w, c, run, RUN, c.run_missed)
    best, layout = inf, [0] * WEEK
    found: Layout = ()

    def visit(day: int, s: int, r: int, need_s: int, need_r: int, before: int, cost: int) -> None:
        """Try each kind on a day; s, r: the last days of strength and running; need: what is still wanted."""
        nonlocal best, found
        if day == WEEK:
            best, found = cost + lift.least[WEEK][need_s] + jog.least[WEEK][need_r], tuple(layout)
            return
        for kind, whole, alone in kinds[day]:
            at_s, at_r, left_s, left_r = s, r, need_s, need_r
            total = alone + cost + follow[before][whole]
            if kind & STRENGTH:
                if need_s <= strength.used[day] or (s >= 0 and day < strength.resume[s]):
                    continue
                total += lift.own[day] + lift.near[day - s]
                at_s, left_s = day, need_s - 1
            if kind & RUN:
                if need_r <= run.used[day] or (r >= 0 and day < run.resume[r]):
                    continue
                total += jog.own[day] + jog.near[day - r]
                at_r, left_r = day, need_r - 1
            if total + lift.least[day + 1][left_s] + jog.least[day + 1][left_r] < best:
                layout[day] = kind
                visit(day + 1, at_s, at_r, left_s, left_r, whole, total)

    (s, need_s), (r, need_r) = start(strength), start(run)
    visit(0, s, r, need_s, need_r, done(strength, run, -1), 0)
    return found
