"""All benchmarks in one run: ``python -m tests.bench``, or some of them by name. Trust ratios, not seconds."""

import sys
from collections.abc import Callable, Mapping

from tests.bench import durable, morning, planner, start, turns

BENCHES: dict[str, tuple[str, Callable[[], Mapping[str, float]]]] = {
    "start": ("A fresh process to its first prompt, seconds (aim: 0.3 on a quiet machine)", start.measure),
    "turns": ("Durable turns of the whole coach (aim: a ratio of 0.5)", lambda: turns.measure(days=5)),
    "season": ("The same with 2,000 facts behind the case", lambda: turns.measure(days=turns.SEASON)),
    "morning": ("One morning of a large clinic", morning.measure),
    "durable": ("The journal alone", durable.measure),
    "planner": ("One plan of the week, milliseconds", planner.measure),
}

for name in sys.argv[1:] or BENCHES:
    title, measure = BENCHES[name]
    print(f"\n{title}", flush=True)
    for what, value in measure().items():
        print(f"  {what:32} {value:10,.3f}", flush=True)
