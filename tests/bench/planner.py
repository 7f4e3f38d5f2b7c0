"""How long one plan of the week takes, and how it compares with trying all 16,384 layouts at once in numpy.

Run by hand: ``python tests/bench/planner.py``. Trust the ratio, not the milliseconds.
"""

import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1] / "week"))

from week_oracle import COSTS, LAYOUTS, MONDAY, cheapest, wishes

from coachbot.core.rules.week import Wishes, plan


def weeks() -> dict[str, Wishes]:
    """An easy week, a full one, one around matches, and the full one announced the day before."""
    matches = {MONDAY + timedelta(2): "match", MONDAY + timedelta(5): "match"}
    full = wishes(strength_wanted=3, run_wanted=3)
    told = {day.date: day.kind for day in plan(full, COSTS).days[:6]}
    return {
        "easy": wishes(),
        "full": full,
        "matches": wishes(run_wanted=3, fast=True, team=matches),
        "announced": wishes(strength_wanted=3, run_wanted=3, announced=told),
    }


def measure(rounds: int = 200) -> dict[str, float]:
    """Milliseconds of a plan for each week, of brute force, and how many times longer brute force takes."""
    found = {name: _milliseconds(lambda w=w: plan(w, COSTS), rounds) for name, w in weeks().items()}
    brute = median(_milliseconds(lambda w=w: cheapest(w, COSTS), max(1, rounds // 20)) for w in weeks().values())
    return found | {"brute force": brute, "ratio": brute / median(found.values())}


def _milliseconds(work: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        begin = perf_counter()
        work()
        times.append(perf_counter() - begin)
    return 1000 * median(times)


if __name__ == "__main__":
    print(f"{len(LAYOUTS):,} layouts")
    for name, value in measure().items():
        print(f"{name:12} {value:8.3f} {'x' if name == 'ratio' else 'ms'}")
