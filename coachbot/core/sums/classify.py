"""Reads a grade a clinician typed and the band of a measured deficit; it never grades an injury itself."""

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from .refusal import require

# British Athletics classes: grade by extent on MRI, a myofascial, b muscle-tendon junction, c into the
# tendon. Pollock et al. 2014, BJSM 48:1347; which of them are in use is from memory.
USUAL = frozenset(("0a", "0b", "1a", "1b", "2a", "2b", "2c", "3a", "3b", "3c", "4", "4c"))

# Not in use, but the abstract allows all three letters with grades 1 to 4.
UNUSUAL = frozenset(("1c", "4a", "4b"))

TENDON = "c"


@dataclass(frozen=True)
class Class:
    """A British Athletics class: its code, whether the tendon is involved, and whether to ask if it is meant."""

    code: str
    tendon: bool
    confirm: bool


def bamic(typed: str) -> Class:
    """The class a clinician typed, in any case and spacing; `Refused` when there is no such class."""
    code = re.sub(r"\s+", "", typed).lower()
    require(code in USUAL | UNUSUAL, "classify.unknown", typed)
    return Class(code, code.endswith(TENDON), code in UNUSUAL)


def band(deficit: float, edges: Sequence[float]) -> int:
    """Which band, counted from 1, a deficit in degrees (at least 0) falls in; a value on an edge is in the band above.

    `edges` rise. The bands of active knee extension are those of Malliaropoulos et al. 2010, doi
    10.1177/0363546510366423, whose abstract sets the slowest above 30 degrees: here 30 itself is in it.
    """
    require(deficit >= 0, "classify.deficit", deficit)
    return bisect_right(edges, deficit) + 1


def bands_open(deficit: float, edges: Sequence[float], smallest_detectable: float) -> tuple[int, ...]:
    """Every band the true deficit may lie in, given the smallest detectable difference of the test in degrees."""
    lowest = band(max(0.0, deficit - smallest_detectable), edges)
    return tuple(range(lowest, band(deficit + smallest_detectable, edges) + 1))
