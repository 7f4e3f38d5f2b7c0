"""A top speed from split times, by fitting the sprint model to time over distance; it refuses too few gates.

The clock of a split test often starts after the runner does. The fit allows for it with an offset, in s, that is added
to every time: fitted when there are gates enough, fixed when there are few, 0 when the times were corrected before.
Source: Vescovi & Jovanovic 2021, doi 10.3389/fspor.2021.629694.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from .band import Z, around
from .refusal import Refused, require
from .sprint import Sprinter, TopSpeed, lambert, time

PLAIN, WITH_OFFSET = 2, 3
"""How many parameters are fitted: top and tau, or these and the offset."""

START_TAU = 1.0
"""The tau in s a fit starts from; it ends at the same place from any usual value."""

ROUNDS = 50
"""Gauss-Newton rounds before a fit is given up; good splits need fewer than ten."""

CLOSE = 1e-10
"""A step smaller than this, in m/s or s, ends the fit: far below what any clock can tell."""

HALVINGS = 20
"""How often a step is halved in search of a better fit; after that the fit stands where it is."""

Matrix = list[list[float]]
Place = Sequence[float]  # top in m/s, tau in s, offset in s


@dataclass(frozen=True)
class Splits:
    """Distances of the gates in m and the times at them in s; both rise from above 0 (else `Refused`)."""

    gates: tuple[float, ...]
    times: tuple[float, ...]

    def __post_init__(self) -> None:
        require(len(self.gates) == len(self.times), "splits.uneven", (len(self.gates), len(self.times)))
        for row in (self.gates, self.times):
            require(all(a < b for a, b in pairwise((0.0, *row))), "splits.order", row)


@dataclass(frozen=True)
class SplitRule:
    """By the number of gates, how the start offset is treated.

    With `free_gates` or more and the last at `far` m or beyond, the offset is fitted; with `fixed_gates` or more it is
    `fixed` s; with fewer nothing is fitted. `free_error` and `fixed_error` are the least standard deviation, as a share
    of the top speed, that simulated splits leave for each way: no fit may claim to be better. Splits the model misses
    by more than `most_miss` s (root mean square), or fits with a tau in s outside `least_tau` to `most_tau`, hold a
    mistake and give no top speed: it might be far too high.
    """

    fixed: float
    free_gates: float
    fixed_gates: float
    far: float
    free_error: float
    fixed_error: float
    most_miss: float
    least_tau: float
    most_tau: float


@dataclass(frozen=True)
class Fit:
    """A fitted sprint: the runner, the offset in s and whether it was fitted, the root mean square miss in s, and the
    standard error of the top speed in m/s."""

    runner: Sprinter
    offset: float
    fitted: bool
    miss: float
    top_error: float


def offset_of(splits: Splits, rule: SplitRule) -> float | None:
    """The start offset in s to hold, or None when it is to be fitted. `Refused` with too few gates for a fit."""
    require(len(splits.gates) >= rule.fixed_gates, "splits.few", len(splits.gates))
    free = len(splits.gates) >= rule.free_gates and splits.gates[-1] >= rule.far
    return None if free else rule.fixed


def fit(splits: Splits, offset: float | None) -> Fit:
    """The sprint model nearest to split times, by least squares of the times; `offset` in s, or None to fit it.

    `Refused`: fewer gates than one more than there are parameters (2, or 3 with the offset), or no fit found.
    """
    unknown = WITH_OFFSET if offset is None else PLAIN
    require(len(splits.gates) > unknown, "splits.few", len(splits.gates))
    at: Place = (_fastest(splits), START_TAU, offset or 0.0)
    for _ in range(ROUNDS):
        nearer = _better(splits, at, _step(splits, at, unknown))
        if all(abs(new - old) <= CLOSE for new, old in zip(nearer, at, strict=True)):
            return _finish(splits, nearer, unknown)
        at = nearer
    raise Refused("splits.unfitted", splits.times)


def from_splits(splits: Splits, rule: SplitRule) -> tuple[TopSpeed, Fit]:
    """Top speed from split times by the offset rule, with the fit it rests on.

    Its error is 1.96 times the standard error of the fit or the least error of the rule, whichever is larger. `Refused`
    as `fit` does, and when the splits do not look like a sprint.
    """
    found = fit(splits, offset_of(splits, rule))
    require(found.miss <= rule.most_miss, "splits.noisy", found.miss)
    require(rule.least_tau <= found.runner.tau <= rule.most_tau, "splits.unlikely", found.runner.tau)
    top = found.runner.top
    least = top * (rule.free_error if found.fitted else rule.fixed_error)
    return TopSpeed(around(top, Z * max(found.top_error, least)), "splits"), found


def _fastest(splits: Splits) -> float:
    """The highest mean speed between neighbouring gates, m/s."""
    marks = pairwise(zip(splits.gates, splits.times, strict=True))
    return max((far - near) / (late - early) for (near, early), (far, late) in marks)


def _misses(splits: Splits, at: Place) -> list[float]:
    """Measured minus modelled time at each gate, s."""
    runner = Sprinter(at[0], at[1])
    return [t + at[2] - time(runner, d) for d, t in zip(splits.gates, splits.times, strict=True)]


def _slopes(splits: Splits, at: Place, unknown: int) -> Matrix:
    """How the modelled clock time at each gate changes with top, tau and offset.

    Time is tau y(u) - offset with u = d / (top tau) and, from y - 1 + exp(-y) = u, dy/du = 1 / (1 - exp(-y)).
    """
    top, tau, _ = at
    rows = []
    for metres in splits.gates:
        u = metres / (top * tau)
        y = lambert(u)
        rise = u / -math.expm1(-y)
        rows.append([-tau * rise / top, y - rise, -1.0][:unknown])
    return rows


def _normal(slopes: Matrix) -> Matrix:
    """The matrix J'J of the least-squares problem."""
    columns = list(zip(*slopes, strict=True))
    return [[sum(map(float.__mul__, a, b)) for b in columns] for a in columns]


def _step(splits: Splits, at: Place, unknown: int) -> list[float]:
    """The Gauss-Newton step from here, for all three parameters; 0 for an offset that is held."""
    slopes, misses = _slopes(splits, at, unknown), _misses(splits, at)
    pull = [sum(map(float.__mul__, column, misses)) for column in zip(*slopes, strict=True)]
    return _solve(_normal(slopes), pull) + [0.0] * (WITH_OFFSET - unknown)


def _better(splits: Splits, at: Place, step: Sequence[float]) -> Place:
    """The step, halved until it fits better; where no part of it does, the place we stand at."""
    here = _square(_misses(splits, at))
    for halving in range(HALVINGS):
        nearer = [value + change / 2**halving for value, change in zip(at, step, strict=True)]
        if min(nearer[:PLAIN]) > 0 and _square(_misses(splits, nearer)) <= here:
            return nearer
    return at


def _finish(splits: Splits, at: Place, unknown: int) -> Fit:
    """The fit at its end, with the standard error of the top speed from s2 (J'J)^-1."""
    gates, left = len(splits.gates), _square(_misses(splits, at))
    spread = _solve(_normal(_slopes(splits, at, unknown)), [1.0] + [0.0] * (unknown - 1))[0]
    require(spread > 0, "splits.unfitted", splits.times)
    error = math.sqrt(left / (gates - unknown) * spread)
    return Fit(Sprinter(at[0], at[1]), at[2], unknown == WITH_OFFSET, math.sqrt(left / gates), error)


def _square(values: Sequence[float]) -> float:
    return sum(value * value for value in values)


def _solve(matrix: Matrix, right: Sequence[float]) -> list[float]:
    """Solve a small set of linear equations by elimination with the largest pivot."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for column in range(len(rows)):
        pivot = max(range(column, len(rows)), key=lambda row: abs(rows[row][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        require(rows[column][column] != 0, "splits.unfitted", tuple(right))
        for row in range(len(rows)):
            if row != column:
                share = rows[row][column] / rows[column][column]
                rows[row] = [a - share * b for a, b in zip(rows[row], rows[column], strict=True)]
    return [row[-1] / row[i] for i, row in enumerate(rows)]
