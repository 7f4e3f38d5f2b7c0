"""How long athletes like this one took, always as a range; it knows no single date and nothing of this athlete's body.

Days are counted from the injury. Ranges rest on the logarithm of the days, because published standard deviations are as
large as their means and a plain range would begin before the injury.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist, fmean

from .refusal import require
from .student import cdf, quantile

TEN = 10
"""Outlooks are told in tenths, as so many of ten similar athletes."""


@dataclass(frozen=True)
class Spread:
    """Days whose logarithm is bell-shaped around `centre` with `scale`: a Student curve with `freedom` degrees of
    freedom, a normal curve when that is None."""

    centre: float
    scale: float
    freedom: int | None = None

    def back_by(self, day: float) -> float:
        """The share (0 to 1) back by a day."""
        if day <= 0:
            return 0.0
        z = (math.log(day) - self.centre) / self.scale
        return NormalDist().cdf(z) if self.freedom is None else cdf(z, self.freedom)

    def day(self, share: float) -> float:
        """The day by which a share (above 0, below 1) is back."""
        z = NormalDist().inv_cdf(share) if self.freedom is None else quantile(share, self.freedom)
        return math.exp(self.centre + self.scale * z)


@dataclass(frozen=True)
class Outlook:
    """Of ten similar athletes about `of_ten` were back between day `low` and day `high`; half by day `median`."""

    of_ten: int
    low: float
    median: float
    high: float


def lognormal(mean: float, sd: float) -> Spread:
    """The log-normal with a published mean and standard deviation in days, both above 0.

    scale^2 = ln(1 + (sd / mean)^2), centre = ln(mean) - scale^2 / 2 (identity).
    """
    require(mean > 0 and sd > 0, "outlook.published", (mean, sd))
    variance = math.log1p((sd / mean) ** 2)
    return Spread(math.log(mean) - variance / 2, math.sqrt(variance))


def combined(published: Spread, worth: int, own_days: Sequence[float]) -> Spread:
    """What published days and a clinic's own closed cases say of the next case.

    Normal-inverse-gamma on the logarithm of the days (Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, 3.3; from
    memory): the published group counts as `worth` cases (a whole number of 1 or more) for its mean and its spread
    alike, and the next case follows a Student curve. Own days are above 0 and of athletes who returned; athletes not
    yet back are left out, which shortens it: `survival.kaplan_meier` keeps them.
    """
    require(worth >= 1, "outlook.worth", worth)
    require(published.freedom is None, "outlook.published", published)
    require(all(day > 0 for day in own_days), "outlook.days", tuple(own_days))
    logs = [math.log(day) for day in own_days]
    count = worth + len(logs)
    mean = fmean(logs) if logs else published.centre
    centre = (worth * published.centre + len(logs) * mean) / count
    squares = worth * published.scale**2 + math.fsum((log - mean) ** 2 for log in logs)
    squares += worth * len(logs) / count * (mean - published.centre) ** 2
    return Spread(centre, math.sqrt(squares / count * (1 + 1 / count)), count)


def of_ten(spread: Spread, athletes: int, not_back_by: float = 0.0) -> Outlook:
    """Between which days the middle `athletes` (1 to 9) of ten similar athletes were back.

    Those who were back by `not_back_by` (days, 0 to count all) no longer compare and are left out: the rest is the same
    curve after that day.
    """
    require(1 <= athletes < TEN, "outlook.athletes", athletes)
    gone = spread.back_by(not_back_by)
    require(gone < 1, "outlook.late", not_back_by)
    tail = (1 - athletes / TEN) / 2
    low, middle, high = (spread.day(gone + (1 - gone) * share) for share in (tail, 1 / 2, 1 - tail))
    return Outlook(athletes, low, middle, high)
