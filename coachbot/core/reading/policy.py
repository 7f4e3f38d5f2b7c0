"""What a reading leads to, looked up in one table: words x closed answer x number; it holds no rule of its own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

WORDS = ("alert", "ask", "none")
CLOSED = ("yes", "no", "unclear", "silent")
NUMBER = ("jump", "usual")
ACTS = ("alert", "ask", "note", "none")
ANY = "any"


class Gap(ValueError):
    """A table that leaves a case undecided or names something unknown."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What to do, whether words and answer contradict each other, and why."""

    act: str  # alert, ask, note or none
    conflict: bool
    why: str


@dataclass(frozen=True, slots=True)
class Policy:
    """The decision for each of the 24 cases."""

    cases: Mapping[tuple[str, str, str], Decision]

    @classmethod
    def from_data(cls, rows: Sequence[Mapping[str, str]]) -> "Policy":
        """From the rows of the table; raises Gap when a case is not covered or an act is unknown."""
        return cls({case: _first(rows, case) for case in product(WORDS, CLOSED, NUMBER)})

    def decide(self, words: str, closed: str, *, jump: bool) -> Decision:
        """For the verdict of the words, the closed answer, and whether the number alone is a flag."""
        return self.cases[words, closed, "jump" if jump else "usual"]


def _first(rows: Sequence[Mapping[str, str]], case: tuple[str, str, str]) -> Decision:
    for row in rows:
        if all(row[name] in (ANY, value) for name, value in zip(("words", "closed", "number"), case, strict=True)):
            if row["act"] not in ACTS:
                raise Gap(f"unknown act {row['act']!r}")
            return Decision(row["act"], row["conflict"] == "yes", row["why"])
    raise Gap(f"no row for {', '.join(case)}")
