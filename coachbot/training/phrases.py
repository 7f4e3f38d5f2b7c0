"""The labelled phrases: hand-written ones and those built from templates, in a fixed order without any randomness."""

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from zlib import crc32

from coachbot.language import load_yaml

HERE = Path(__file__).parent
EACH, MOST = 14, 40  # phrases built from one template: all fillers of its longest slot, within these
_SLOT = re.compile(r"\[(\w+)\]")
Phrase = tuple[str, bool]  # text, flag or not


def phrases() -> list[Phrase]:
    """Every phrase once; template phrases first, then the hand-written."""
    return list(dict.fromkeys([*_templates(), *_written()]))


def _templates() -> Iterator[Phrase]:
    data = load_yaml(HERE / "templates.yaml")
    for label in ("flag", "harmless"):
        for templates in data[label].values():
            for template in templates:
                for turn in range(_turns(template, data["slots"])):
                    yield _filled(template, data["slots"], turn), label == "flag"


def _turns(template: str, slots: Mapping[str, Sequence[str]]) -> int:
    longest = max((len(slots[name]) for name in _SLOT.findall(template)), default=0)
    return max(EACH, min(longest, MOST)) if longest else 1


def _filled(template: str, slots: Mapping[str, Sequence[str]], turn: int) -> str:
    """Fillers follow the turn from a start that depends on the template, so that all of them get used."""
    place = iter(range(100))

    def fill(match: re.Match[str]) -> str:
        choices = slots[match[1]]
        start = crc32(f"{template} {next(place)}".encode())
        step = 1 + start % max(1, len(choices) - 1)
        return choices[(start + turn * step) % len(choices)]

    return _SLOT.sub(fill, template)


def _written() -> Iterator[Phrase]:
    for path in sorted(HERE.glob("phrases_*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                yield row["text"], row["expected"] == "FLAG"
