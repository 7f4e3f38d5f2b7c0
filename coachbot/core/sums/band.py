"""A value with the range its error leaves open; it never hides the error behind the value."""

from dataclasses import dataclass
from statistics import NormalDist

CONFIDENCE = 0.95
"""The share of repeats a band is meant to hold, by convention."""

Z = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
"""Standard errors from the middle of a normal curve to the edge of such a band: 1.96."""


@dataclass(frozen=True)
class Band:
    """A value and its 95 % range, all in one unit."""

    value: float
    low: float
    high: float


def around(value: float, half: float) -> Band:
    """The band from `half` below the value to `half` above it, in the value's unit."""
    return Band(value, value - half, value + half)
