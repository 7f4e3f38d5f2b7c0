"""The labelled phrases, each once, in a fixed order; every file of the folder `labelled` is another writer's."""

import csv
from pathlib import Path

LABELLED = Path(__file__).parent / "labelled"
Phrase = tuple[str, bool]  # text, flag or not


def phrases() -> list[Phrase]:
    """Every phrase once, file by file."""
    return list(dict.fromkeys(row for path in sorted(LABELLED.glob("*.csv")) for row in rows(path)))


def rows(path: Path) -> list[Phrase]:
    """The phrases of one writer."""
    with path.open(encoding="utf-8", newline="") as file:
        return [(row["text"], row["expected"] == "FLAG") for row in csv.DictReader(file)]
