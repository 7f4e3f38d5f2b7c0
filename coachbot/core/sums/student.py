"""Student's curve for whole degrees of freedom, in closed form; it does nothing else."""

import math

from .refusal import require

CLOSE = 1e-13
"""How near two bounds of a quantile must come, as a share of it, before the search ends."""


def cdf(t: float, freedom: int) -> float:
    """The share (0 to 1) of Student's curve below t, for 1 or more whole degrees of freedom.

    Finite series in the angle atan(t / sqrt(freedom)): Abramowitz & Stegun 1964, 26.7.3 and 26.7.4 (from memory).
    """
    require(freedom >= 1, "student.freedom", freedom)
    angle = math.atan2(t, math.sqrt(freedom))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2
    term = cosine if odd else 1.0
    total = 0.0
    for power in range(2 + odd, freedom + 1, 2):
        total += term
        term *= cosine**2 * (power - 1) / power
    inside = (angle + sine * total) * 2 / math.pi if odd else sine * total
    return (1 + inside) / 2


def quantile(share: float, freedom: int) -> float:
    """The t with this share (above 0, below 1) of Student's curve below it, by halving: the inverse of `cdf`."""
    require(0 < share < 1, "student.share", share)
    low, high = -1.0, 1.0
    while cdf(low, freedom) > share:
        low *= 2
    while cdf(high, freedom) < share:
        high *= 2
    while high - low > CLOSE * max(1.0, abs(low)):
        middle = (low + high) / 2
        low, high = (middle, high) if cdf(middle, freedom) < share else (low, middle)
    return (low + high) / 2
