"""What the planner is checked against: the rules said again in other words, and every layout tried.

Nothing here is shared with the planner but its types; the numbers come from the programme's file.
"""

from datetime import UTC, date, datetime, timedelta
from itertools import product
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import yaml

from coachbot.core.rules.week import Costs, Kind, Plan, Wishes, costs

FILE = Path(__file__).parents[2] / "dialogs" / "programme" / "week.yaml"
ENTRIES = yaml.safe_load(FILE.read_text(encoding="utf-8"))
GAPS = {
    f"{kind}_gap": yaml.safe_load((FILE.parent / file).read_text(encoding="utf-8"))[name]["value"]
    for kind, file, name in (("strength", "strength.yaml", "gap"), ("fast", "running.yaml", "fast_gap"))
}
COSTS = costs({**GAPS, **{name: entry["value"] for name, entry in ENTRIES.items()}})

MONDAY = date(2026, 6, 1)
BERLIN = ZoneInfo("Europe/Berlin")


def starts(today: date, hour: int = 9, zone: ZoneInfo = BERLIN) -> dict[date, datetime]:
    """The same wall time on seven days."""
    days = [today + timedelta(n) for n in range(7)]
    return {day: datetime(day.year, day.month, day.day, hour, tzinfo=zone) for day in days}


def wishes(**changed: object) -> Wishes:
    """A free week from a Monday in June: two strength sessions and two slow runs wanted, nothing done yet."""
    today = changed.get("today", MONDAY)
    plain = {
        "today": today,
        "at": datetime(today.year, today.month, today.day, 5, tzinfo=UTC),
        "starts": starts(today),
        "free": frozenset(range(7)),
        "team": {},
        "strength_wanted": 2,
        "run_wanted": 2,
        "strength_open": True,
        "run_open": True,
        "run_from": None,
        "fast": False,
        "past": {},
        "done_today": frozenset(),
        "last_strength": None,
        "last_run": None,
        "last_fast": None,
        "announced": {},
    }
    return Wishes(**(plain | changed))


def kinds(plan: Plan) -> str:
    """The week in seven letters: R run, S strength, B both, . rest."""
    letters = {Kind.REST: ".", Kind.STRENGTH: "S", Kind.RUN: "R", Kind.BOTH: "B"}
    return "".join(letters[day.kind] for day in plan.days)


def keys(whys) -> set[str]:
    return {why.key for why in whys}


# ---- the hard rules, said again, one layout at a time


def _hours(earlier: datetime, later: datetime) -> float:
    return (later.timestamp() - earlier.timestamp()) / 3600


def _near(earlier: datetime, later: datetime, gap: float, tolerance: float) -> bool:
    """Closer than the gap; the tolerance only where the calendar alone shows the whole gap."""
    days = later.date().toordinal() - earlier.astimezone(later.tzinfo).date().toordinal()
    need = gap - tolerance if days * 24 >= gap else gap
    return _hours(earlier, later) < need


def _starts(w: Wishes) -> list[datetime]:
    moments = [w.starts[w.today + timedelta(n)] for n in range(7)]
    if w.at.timestamp() > moments[0].timestamp():
        moments[0] = w.at.astimezone(moments[0].tzinfo)
    return moments


def _done(w: Wishes, kind: Kind, last: datetime | None) -> set[int]:
    days = {n for n in range(-6, 0) if w.past.get(w.today + timedelta(n)) in (kind, Kind.BOTH)}
    if kind in w.done_today:
        days.add(0)
    if last is not None:
        n = last.astimezone(w.starts[w.today].tzinfo).date().toordinal() - w.today.toordinal()
        if -6 <= n <= 0:
            days.add(n)
    return days


def _calendar_near(done: set[int], day: int, gap: float) -> bool:
    return any((day - earlier) * 24 < gap for earlier in done)


def broken_rules(w: Wishes, c: Costs, layout: list[Kind]) -> list[str]:
    """The hard rules a layout breaks, each with its day."""
    strength = [n for n in range(7) if layout[n] in (Kind.STRENGTH, Kind.BOTH)]
    runs = [n for n in range(7) if layout[n] in (Kind.RUN, Kind.BOTH)]
    done_strength = _done(w, Kind.STRENGTH, w.last_strength)
    done_runs = _done(w, Kind.RUN, w.last_run)
    moments, broken = _starts(w), []
    for n in sorted({*strength, *runs}):
        day = w.today + timedelta(n)
        if day.weekday() not in w.free:
            broken.append(f"{n}: not free")
        if w.team.get(day) == "match":
            broken.append(f"{n}: match day")
    for n in strength:
        if not w.strength_open:
            broken.append(f"{n}: strength is closed")
        if n == 0 and 0 in done_strength:
            broken.append("0: strength twice")
        if w.last_strength and _near(w.last_strength, moments[n], c.strength_gap, c.gap_tolerance):
            broken.append(f"{n}: strength too soon after the last")
        if _calendar_near(done_strength, n, c.strength_gap):
            broken.append(f"{n}: strength too soon by the calendar")
        for m in strength:
            if m < n and _pair_near(w, c, moments, Kind.STRENGTH, m, n):
                broken.append(f"{m}, {n}: strength too near")
    for n in runs:
        if not w.run_open:
            broken.append(f"{n}: running is closed")
        if w.run_from is not None and w.today + timedelta(n) < w.run_from:
            broken.append(f"{n}: run too early")
        if n == 0 and 0 in done_runs:
            broken.append("0: run twice")
        if n == 0 and 0 in done_strength:
            broken.append("0: run after strength")
        if w.fast:
            broken += _broken_fast(w, c, moments, runs, n)
    broken += _broken_counts(strength, done_strength, w.strength_wanted, "strength")
    return broken + _broken_counts(runs, done_runs, w.run_wanted, "run")


def _broken_fast(w: Wishes, c: Costs, moments: list[datetime], runs: list[int], n: int) -> list[str]:
    broken = []
    if w.team.get(w.today + timedelta(n + 1)) == "match":
        broken.append(f"{n}: fast before a match")
    if w.last_fast is not None:
        if _near(w.last_fast, moments[n], c.fast_gap, c.gap_tolerance):
            broken.append(f"{n}: fast too soon after the last")
        if (moments[n].date() - w.last_fast.astimezone(moments[n].tzinfo).date()).days < 2:
            broken.append(f"{n}: fast on the day after fast")
    for m in runs:
        if m < n and _pair_near(w, c, moments, Kind.RUN, m, n):
            broken.append(f"{m}, {n}: fast too near")
    return broken


def _pair_near(w: Wishes, c: Costs, moments: list[datetime], kind: Kind, m: int, n: int) -> bool:
    if kind is Kind.STRENGTH:
        return _near(moments[m], moments[n], c.strength_gap, c.gap_tolerance)
    return w.fast and (n - m == 1 or _near(moments[m], moments[n], c.fast_gap, c.gap_tolerance))


def _broken_counts(planned: list[int], done: set[int], wanted: int, name: str) -> list[str]:
    """Every seven days that hold a session of the plan, from the six days before today on."""
    everything = [*planned, *done]
    windows = [range(first, first + 7) for first in range(-6, 7)]
    return [
        f"{window.start}: too much {name}"
        for window in windows
        if any(n in window for n in planned) and sum(n in window for n in everything) > wanted
    ]


# ---- every layout, all at once, in the order that settles ties

ORDER = (Kind.STRENGTH, Kind.RUN, Kind.BOTH, Kind.REST)
LAYOUTS = list(product(ORDER, repeat=7))
S, R = (
    np.array([[layout[n] in (kind, Kind.BOTH) for layout in LAYOUTS] for n in range(7)])
    for kind in (Kind.STRENGTH, Kind.RUN)
)  # a row for each day
S_SO_FAR, R_SO_FAR = S.cumsum(axis=0, dtype=np.int8), R.cumsum(axis=0, dtype=np.int8)  # sessions up to each day


def cheapest(w: Wishes, c: Costs) -> tuple[list[Kind], int]:
    """The first of the cheapest lawful layouts among all 16,384, and its cost."""
    lawful = np.flatnonzero(_lawful(w, c))
    cost = _weigh(w, c, S[:, lawful], R[:, lawful])
    place = int(cost.argmin())
    return list(LAYOUTS[lawful[place]]), int(cost[place])


def _lawful(w: Wishes, c: Costs) -> np.ndarray:
    """What one day breaks alone is asked of `broken_rules`; pairs of days and counts are looked at in the large."""
    lawful = np.ones(len(LAYOUTS), dtype=bool)
    moments = _starts(w)
    for mark, so_far, kind, last, wanted in (
        (S, S_SO_FAR, Kind.STRENGTH, w.last_strength, w.strength_wanted),
        (R, R_SO_FAR, Kind.RUN, w.last_run, w.run_wanted),
    ):
        done = _done(w, kind, last)
        for n in range(7):
            if broken_rules(w, c, [kind if day == n else Kind.REST for day in range(7)]):
                lawful &= ~mark[n]
            for m in range(n):
                if _pair_near(w, c, moments, kind, m, n):
                    lawful &= ~(mark[m] & mark[n])
        for first in range(-6, 1):
            planned = so_far[first + 6]
            lawful &= (planned == 0) | (planned + sum(n in range(first, first + 7) for n in done) <= wanted)
    return lawful


def _weigh(w: Wishes, c: Costs, s: np.ndarray, r: np.ndarray) -> np.ndarray:
    done_strength, done_runs = _done(w, Kind.STRENGTH, w.last_strength), _done(w, Kind.RUN, w.last_run)
    cost = np.zeros(s.shape[1], dtype=np.int64)
    before = (-1 in done_strength, -1 in done_runs)
    for n in range(7):
        day = w.today + timedelta(n)
        strength, run = s[n] | (n in done_strength), r[n] | (n in done_runs)
        cost += c.same_day * (strength & run)
        cost += c.next_day * ((strength | run) & (before[0] | before[1]))
        cost += c.repeat_next_day * ((strength & before[0]) | (run & before[1]))
        cost += c.later * n * (s[n].astype(int) + r[n])
        if w.team.get(day) == "training":
            cost += c.strength_with_team * s[n]
        if w.team.get(day + timedelta(1)) == "match":
            cost += c.strength_before_match * s[n]
        if w.fast and w.team.get(day - timedelta(1)) == "match":
            cost += c.fast_after_match * r[n]
        if day in w.announced:
            told = w.announced[day]
            kept_strength = strength == (told in (Kind.STRENGTH, Kind.BOTH))
            kept_run = run == (told in (Kind.RUN, Kind.BOTH))
            cost += c.changed * ~(kept_strength & kept_run)
        before = (strength, run)
    strength_wanted = w.strength_wanted if w.strength_open else 0
    run_wanted = w.run_wanted if w.run_open else 0
    cost += _spread(s, done_strength, strength_wanted, c.uneven, c.strength_missed)
    return cost + _spread(r, done_runs, run_wanted, c.uneven, c.run_missed)


def _spread(mark: np.ndarray, done: set[int], wanted: int, uneven: int, missed: int) -> np.ndarray:
    cost = missed * np.maximum(0, wanted - mark.sum(axis=0) - (0 in done))
    if wanted == 0:
        return cost
    last = np.full(mark.shape[1], max(done, default=-100))
    for n in range(7):
        cost += uneven * mark[n] * np.maximum(0, 7 // wanted - (n - last))
        last = np.where(mark[n], n, last)
    return cost
