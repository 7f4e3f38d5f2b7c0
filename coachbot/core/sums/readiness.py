"""The arithmetic of return-to-sport criteria; it says what a number means and never that an athlete may return."""

from collections.abc import Sequence
from dataclasses import dataclass

from .refusal import require
from .strength import SLACK, inside_noise, symmetry

ITEMS, HIGHEST, STEP, DIVISOR = 6, 100, 10, 10
"""The readiness scale of Glazer 2009, doi 10.4085/1062-6050-44.2.185: six items, 0-100 in tens, sum / 10."""


@dataclass(frozen=True)
class Sides:
    """Injured against sound side: the limb symmetry index in %, whether it reaches its criterion, and whether the
    difference lies inside the error of the test (None when that error is not known)."""

    percent: float
    reached: bool
    noise: bool | None


def confidence(items: Sequence[float]) -> float:
    """The psychological readiness score, 0 to 60, from six items of 0 to 100 in tens; `Refused` when they are not."""
    require(len(items) == ITEMS, "readiness.items", len(items))
    require(all(0 <= item <= HIGHEST and item % STEP == 0 for item in items), "readiness.tens", tuple(items))
    return sum(items) / DIVISOR


def sides(injured: float, sound: float, least: float, smallest_detectable: float | None) -> Sides:
    """Whether the injured side reaches `least` % of the other side or of its own value before the injury.

    All three values in one unit in which more is better, such as degrees of range or newtons: a deficit in degrees must
    be turned into a range first. `least` is in %, `smallest_detectable` is None when the test has no known one. Noise
    is shown beside the criterion and never decides it.
    """
    percent = symmetry(injured, sound).percent
    noise = None if smallest_detectable is None else inside_noise(injured, sound, smallest_detectable)
    return Sides(percent, percent >= least - SLACK, noise)
