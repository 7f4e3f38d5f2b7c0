"""Seconds from the start of a fresh process to its first words and its first prompt; it judges nothing."""

import tempfile
import time
from pathlib import Path
from statistics import median

from tests.shell import cases
from tests.shell.processes import Screen

RUNS = 5
FIRST = {"chat": "0 is no pain", "desk": "Sam", "demo": "0 is no pain"}


def _once(command: str, folder: Path) -> tuple[float, float]:
    begin = time.perf_counter()
    with Screen(*([] if command == "chat" else [command]), cwd=folder) as screen:
        screen.until(FIRST[command])
        words = time.perf_counter() - begin
        screen.until("desk>" if command == "desk" else "you>")
        return words, time.perf_counter() - begin


def measure() -> dict[str, float]:
    """The best and the median of some runs: the best is what a quiet machine does."""
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        cases.write(folder / "coach.sqlite")
        found["demo, the first time: words"], found["demo, the first time: prompt"] = _once("demo", folder)
        for command in ("chat", "demo", "desk"):
            runs = [_once(command, folder) for _ in range(RUNS)]
            found[f"{command}: words, best"] = min(words for words, _ in runs)
            found[f"{command}: prompt, best"] = min(prompt for _, prompt in runs)
            found[f"{command}: prompt, median"] = median(prompt for _, prompt in runs)
    return found
