"""The Kaplan-Meier curve of a clinic's own cases, open ones kept, always with its interval; it predicts nobody."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .band import Band, Z
from .refusal import require

Case = tuple[float, bool]
"""Days from injury, and whether the athlete was back then; an open case or a drop-out was not, and is censored."""

SLACK = 1e-9
"""What rounding may add to a share of cases: three quarters of two thirds are a half."""


@dataclass(frozen=True)
class Step:
    """One day on which athletes came back: how many were still out, how many came back, and the share (0 to 1) still
    out afterwards with its 95 % interval."""

    day: float
    out: int
    back: int
    still_out: Band


@dataclass(frozen=True)
class Curve:
    """The steps of a Kaplan-Meier curve in order of days, with the number of cases and of returns."""

    steps: tuple[Step, ...]
    cases: int
    returns: int

    def still_out(self, day: float) -> Band:
        """The share (0 to 1) still out after a day, with its interval; before the first return all are."""
        past = [step.still_out for step in self.steps if step.day <= day]
        return past[-1] if past else Band(1.0, 1.0, 1.0)

    def back_by(self, day: float) -> Band:
        """The share (0 to 1) back by a day, with its interval."""
        out = self.still_out(day)
        return Band(1 - out.value, 1 - out.high, 1 - out.low)

    def median(self) -> tuple[float | None, float | None, float | None]:
        """The day by which half were back, and the days its interval allows; None where the curve never gets there."""
        bands = [step.still_out for step in self.steps]
        rows = ([b.value for b in bands], [b.low for b in bands], [b.high for b in bands])
        middle, low, high = (self._halved(row) for row in rows)
        return middle, low, high

    def _halved(self, shares: Sequence[float]) -> float | None:
        halved = (step.day for step, share in zip(self.steps, shares, strict=True) if share <= 1 / 2 + SLACK)
        return next(halved, None)


def kaplan_meier(cases: Sequence[Case]) -> Curve:
    """The share still out, day by day (Kaplan & Meier 1958; from memory).

    Greenwood's variance on the log(-log) scale gives the interval (Kalbfleisch & Prentice 1980; from memory). A case
    censored on a day counts as still out on it. Days are above 0; at least one case, else `Refused`.
    """
    require(bool(cases) and all(day > 0 for day, _ in cases), "survival.cases", tuple(cases))
    steps: list[Step] = []
    share, variance = 1.0, 0.0
    for day in sorted({day for day, back in cases if back}):
        out = sum(other >= day for other, _ in cases)
        back = sum(returned and other == day for other, returned in cases)
        share *= 1 - back / out
        variance += back / (out * (out - back)) if out > back else 0.0
        steps.append(Step(day, out, back, _interval(share, variance)))
    return Curve(tuple(steps), len(cases), sum(back for _, back in cases))


def _interval(share: float, variance: float) -> Band:
    """The 95 % interval of a share from Greenwood's sum; none is left once everybody is back."""
    if share <= 0:
        return Band(0.0, 0.0, 0.0)
    log = math.log(share)
    half = Z * math.sqrt(variance) / log
    return Band(share, math.exp(log * math.exp(-half)), math.exp(log * math.exp(half)))
