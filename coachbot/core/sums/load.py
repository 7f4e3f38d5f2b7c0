"""Training load of a session and a week; it keeps gaps as gaps and computes no ratio of recent to usual load.

Such a ratio is left out on purpose: the recent week is part of the usual load (Lolli et al. 2019), made-up usual loads
predict as well (Impellizzeri et al. 2021, doi 10.1007/s40279-020-01378-6), and after rest it is blind.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, stdev

from .refusal import require

Days = Sequence[float | None]
"""One load a day; 0 is a day without a session, None a day without an answer."""


@dataclass(frozen=True)
class Week:
    """A week's load in effort x minutes. `total` is of the answered days; the rest is None when it has no meaning."""

    total: float
    answered: int
    days: int
    monotony: float | None
    strain: float | None

    @property
    def whole(self) -> bool:
        """Whether every day was answered."""
        return self.answered == self.days


def session_load(effort: float, minutes: float, hardest: float) -> float:
    """Effort from 0 to `hardest` on its scale times minutes (at least 0): Foster et al. 2001 (from memory)."""
    require(0 <= effort <= hardest, "load.effort", effort)
    require(0 <= minutes < math.inf, "load.minutes", minutes)
    return effort * minutes


def week(loads: Days) -> Week:
    """Total, monotony and strain of a row of days.

    Monotony = mean / standard deviation with n - 1, strain = total x monotony (Foster 1998; it does not say which
    deviation, and the other form is 8 % off in a usual week). Both are None when a day is missing or all are equal.
    """
    known = [load for load in loads if load is not None]
    require(all(load >= 0 for load in known), "load.negative", tuple(loads))
    total = math.fsum(known)
    spread = stdev(known) if len(known) == len(loads) > 1 else 0.0
    monotony = mean(known) / spread if spread else None
    strain = total * monotony if monotony is not None else None
    return Week(total, len(known), len(loads), monotony, strain)


def change(now: float, before: float) -> float | None:
    """How much more than before, as a share (0.2 is 20 % more); None when there was nothing before."""
    require(now >= 0 and before >= 0, "load.negative", (now, before))
    return now / before - 1 if before else None


def weekly_change(now: Week, before: Week) -> float | None:
    """`change` of two weeks; None unless every day of both was answered, since silence is not rest."""
    return change(now.total, before.total) if now.whole and before.whole else None
