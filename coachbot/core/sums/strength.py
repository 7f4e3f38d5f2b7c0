"""Strength arithmetic: estimated maximum, the next weight, the two sides compared; it never asks for a maximum lift."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType
from typing import Literal

from .band import Z
from .refusal import require

# Load and repetitions to failure -> estimated one-repetition maximum in the unit of the load. Coefficients
# from memory. Mayhew's was made for the bench press.
FORMULAS: Mapping[str, Callable[[float, float], float]] = MappingProxyType(
    {
        "epley": lambda load, reps: load * (1 + reps / 30),  # Epley 1985
        "brzycki": lambda load, reps: load * 36 / (37 - reps),  # Brzycki 1993
        "lombardi": lambda load, reps: load * reps**0.1,  # Lombardi 1989
        "mayhew": lambda load, reps: load * 100 / (52.2 + 41.9 * math.exp(-0.055 * reps)),  # Mayhew 1992
        "oconner": lambda load, reps: load * (1 + 0.025 * reps),  # O'Conner 1989
        "wathan": lambda load, reps: load * 100 / (48.8 + 53.8 * math.exp(-0.075 * reps)),  # Wathan 1994
        "lander": lambda load, reps: load * 100 / (101.3 - 2.67123 * reps),  # Lander 1985
    }
)

# Repetitions to failure -> % of the one-repetition maximum; Baechle & Earle's hand-book chart (second-hand
# for 2, 4, 6, 8 and 10 repetitions, the rest from memory).
CHART: Mapping[int, float] = MappingProxyType(
    {1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75, 11: 70, 12: 67}
)

Definition = Literal["injured/uninjured", "deficit", "difference/sum", "difference/mean", "angle"]

# Injured and uninjured value -> %. The first is the limb symmetry index of Cristiani et al. 2019, doi
# 10.1007/s00167-019-05396-4; the others stand in the list of Bishop et al. 2016, doi
# 10.1519/SSC.0000000000000264 (list from memory). One pair of legs gives 5 to 16 % by these, so none may be
# printed without its name.
DEFINITIONS: Mapping[Definition, Callable[[float, float], float]] = MappingProxyType(
    {
        "injured/uninjured": lambda injured, sound: 100 * injured / sound,
        "deficit": lambda injured, sound: 100 * (1 - injured / sound),
        "difference/sum": lambda injured, sound: 100 * abs(sound - injured) / (sound + injured),
        "difference/mean": lambda injured, sound: 200 * abs(sound - injured) / (sound + injured),
        "angle": lambda injured, sound: 100 * (45 - math.degrees(math.atan2(injured, sound))) / 90,
    }
)

SLACK = 1e-9
"""What rounding of binary fractions may add to or take from a weight in kg or a per cent; no difference is so small."""


@dataclass(frozen=True)
class Symmetry:
    """Two sides compared: the per cent and the definition it was computed by."""

    percent: float
    definition: Definition


def one_rep_max(load: float, reps: float, in_reserve: float, most_reps: float, formula: str = "epley") -> float:
    """Estimated one-repetition maximum, in the unit of `load`, from a set that stopped with repetitions in reserve.

    The repetitions done and those in reserve together stand for a set to failure. One repetition to failure is the load
    itself. `Refused`: no load, less than one repetition, more than `most_reps` in all, where the formulas part company.
    """
    reps_to_failure = reps + in_reserve
    require(load > 0, "strength.load", load)
    require(reps >= 1 and in_reserve >= 0, "strength.reps", (reps, in_reserve))
    require(reps_to_failure <= most_reps, "strength.many", reps_to_failure)
    return load if reps_to_failure == 1 else FORMULAS[formula](load, reps_to_failure)


def chart_max(load: float, reps: int) -> float:
    """One-repetition maximum by the hand-book chart, in the unit of `load`, for 1 to 12 repetitions to failure."""
    require(reps in CHART, "strength.many", reps)
    return load * 100 / CHART[reps]


def two_for_two(last_sets: Sequence[int], goal: int, extra: int, sessions: int) -> bool:
    """Whether the last set beat the goal by `extra` repetitions in each of the last `sessions` sessions.

    `last_sets` holds the repetitions of each session's last set, oldest first. Rule of Baechle & Earle (second-hand).
    """
    recent = last_sets[-sessions:]
    return len(recent) == sessions and all(done >= goal + extra for done in recent)


def round_down(load: float, weights: Sequence[float]) -> float:
    """The heaviest of the athlete's weights that is not above `load`; never up. `Refused` when all are heavier."""
    lighter = [weight for weight in weights if weight <= load + SLACK]
    require(bool(lighter), "strength.weights", load)
    return max(lighter)


def next_weight(load: float, weights: Sequence[float], smallest: float, largest: float) -> float | None:
    """The next weight the athlete has above `load`: at least the share `smallest` heavier where one lies in reach.

    None when every heavier one exceeds the share `largest`: then repetitions are added instead. When only steps under
    `smallest` are in reach the heaviest of them is taken.
    """
    require(load > 0, "strength.load", load)
    reach = [weight for weight in weights if load + SLACK < weight <= load * (1 + largest) + SLACK]
    full_steps = [weight for weight in reach if weight >= load * (1 + smallest) - SLACK]
    return min(full_steps) if full_steps else max(reach, default=None)


def barbell(bar: float, pairs: Sequence[float]) -> tuple[float, ...]:
    """All weights a bar and single pairs of plates can make, lightest first; `pairs` holds the weight of one plate
    each."""
    sums = {bar + 2 * sum(chosen) for count in range(len(pairs) + 1) for chosen in combinations(pairs, count)}
    return tuple(sorted(sums))


def symmetry(injured: float, sound: float, definition: Definition = "injured/uninjured") -> Symmetry:
    """The injured side against the sound one in %, both in one unit and at least 0, the sound one above 0.

    It hides a weak sound side and may exceed 100: keep both values beside it.
    """
    require(injured >= 0 and sound > 0, "strength.sides", (injured, sound))
    return Symmetry(DEFINITIONS[definition](injured, sound), definition)


def detectable(standard_error: float) -> float:
    """The smallest difference of two measurements that is more than their error, 95 %: 1.96 sqrt(2) SEM, unit of the
    SEM."""
    require(standard_error >= 0, "strength.error", standard_error)
    return Z * math.sqrt(2) * standard_error


def inside_noise(one: float, other: float, smallest_detectable: float) -> bool:
    """Whether two measurements differ by less than the error of their test; all in one unit.

    A detectable difference published in % is first turned into the unit of the larger value.
    """
    return abs(one - other) < smallest_detectable


def torque(force: float, arm: float, mass: float) -> float:
    """Torque per body mass, Nm/kg, from a force in N at a lever arm in m and a body mass in kg, arm and mass above
    0."""
    require(force >= 0 and arm > 0 and mass > 0, "strength.torque", (force, arm, mass))
    return force * arm / mass
