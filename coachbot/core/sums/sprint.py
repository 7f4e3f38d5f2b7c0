"""The exponential sprint model and a top speed with its error; it never asks for or assumes a maximum test.

From a standing start v(t) = top (1 - exp(-t / tau)): `top` is the speed approached, in m/s, and `tau` the time, in s,
to 63 % of it. Source: Furusawa, Hill & Parkinson 1927 (from memory), in the form of Vescovi & Jovanovic 2021, doi
10.3389/fspor.2021.629694.
"""

import math
from dataclasses import dataclass
from typing import Literal

from .band import Band, Z, around
from .refusal import require

Method = Literal["flying", "device", "splits"]


NEWTON = 20
"""The most steps of Newton's method for an inverse: it needs under ten, and more would only follow rounding."""


@dataclass(frozen=True)
class Sprinter:
    """What the model knows of one athlete: `top` in m/s and `tau` in s, both above 0 (else `Refused`)."""

    top: float
    tau: float

    def __post_init__(self) -> None:
        require(0 < self.top < math.inf, "sprint.top", self.top)
        require(0 < self.tau < math.inf, "sprint.tau", self.tau)


@dataclass(frozen=True)
class TopSpeed:
    """A top speed in m/s with its 95 % range and how it was found.

    `reads_low` is the share by which the method falls short of the top the model approaches (0 to 1); it is stated and
    never added, because a top speed read too low only makes the targets easier.
    """

    band: Band
    method: Method
    reads_low: float = 0.0


def speed(runner: Sprinter, seconds: float) -> float:
    """Speed in m/s `seconds` (at least 0) after the start: top (1 - exp(-t / tau))."""
    require(seconds >= 0, "sprint.time", seconds)
    return -runner.top * math.expm1(-seconds / runner.tau)


def distance(runner: Sprinter, seconds: float) -> float:
    """Metres covered `seconds` (at least 0) after the start: top (t - tau (1 - exp(-t / tau)))."""
    require(seconds >= 0, "sprint.time", seconds)
    return runner.top * seconds - runner.tau * speed(runner, seconds)


def covered(seconds_over_tau: float) -> float:
    """Metres over (top x tau), both free of unit: y - 1 + exp(-y) for y = seconds / tau, at least 0."""
    return seconds_over_tau + math.expm1(-seconds_over_tau)


def lambert(reach: float) -> float:
    """The inverse of `covered`: y with y - 1 + exp(-y) = u, for u of 0 or more; both are free of unit.

    y = 1 + u + W(-exp(-1 - u)) with Lambert's W, principal branch (Corless et al. 1996, doi 10.1007/BF02124750). At u =
    0 that argument is the branch point, where rounding gives no number at all. Newton's steps on the left side above
    have no such trap: it is convex and rising, and sqrt(2 u) + u lies on the far side of the root, so every step comes
    nearer without crossing it.
    """
    y = math.sqrt(2 * reach) + reach
    for _ in range(NEWTON if y else 0):
        nearer = y + (covered(y) - reach) / math.expm1(-y)
        if not 0 < nearer < y:
            break
        y = nearer
    return y


def time(runner: Sprinter, metres: float) -> float:
    """Seconds from the start to `metres` (at least 0), the exact inverse of `distance`; 0 m takes 0 s."""
    require(0 <= metres < math.inf, "sprint.distance", metres)
    return runner.tau * lambert(metres / (runner.top * runner.tau))


def acceleration(runner: Sprinter, at_speed: float = 0.0) -> float:
    """The most a runner can still accelerate, m/s2, at a speed in m/s from 0 to top: (top - v) / tau."""
    require(0 <= at_speed <= runner.top, "sprint.speed", at_speed)
    return (runner.top - at_speed) / runner.tau


def power(runner: Sprinter) -> float:
    """The highest power per body mass of the model, W/kg: top^2 / (4 tau), met at half the top speed."""
    return runner.top * acceleration(runner) / 4


def share_within(runner: Sprinter, metres: float) -> float:
    """The share of the top speed (0 to 1) an all-out runner has after `metres` from a standing start."""
    return speed(runner, time(runner, metres)) / runner.top


def segment_share(runner: Sprinter, start: float, end: float) -> float:
    """Mean speed between two marks, metres from a standing start with 0 <= start < end, as a share of the top (0 to
    1)."""
    require(0 <= start < end, "sprint.segment", (start, end))
    return (end - start) / (time(runner, end) - time(runner, start)) / runner.top


def from_flying(length: float, seconds: float, timing_sd: float, run_up: float, tau: float) -> TopSpeed:
    """Top speed from `seconds` over a zone of `length` m that begins `run_up` m after a standing start.

    Value: length / seconds. Error: the clock's standard deviation `timing_sd` in s, as a share of the time, times 1.96.
    Nothing is added for a hand-held clock: both presses are seen, neither is heard. `reads_low` is 1 minus
    `segment_share` with the assumed `tau` in s. All above 0, `run_up` and `timing_sd` may be 0 (else `Refused`).
    """
    require(length > 0, "sprint.length", length)
    require(seconds > 0, "sprint.time", seconds)
    require(timing_sd >= 0, "sprint.timing", timing_sd)
    mean = length / seconds
    missing = 1 - segment_share(Sprinter(mean, tau), run_up, run_up + length)
    return TopSpeed(around(mean, Z * timing_sd / seconds * mean), "flying", missing)


def from_device(metres_a_second: float, error: float) -> TopSpeed:
    """Top speed shown by a radar or a worn device, in m/s above 0; `error` is its coefficient of variation (0 to 1)."""
    require(metres_a_second > 0, "sprint.speed", metres_a_second)
    require(0 <= error < 1, "sprint.error", error)
    return TopSpeed(around(metres_a_second, Z * error * metres_a_second), "device")


def usable(found: TopSpeed, lowest: float, highest: float) -> TopSpeed:
    """The same top speed if it lies between the lowest and the highest a programme accepts, m/s; else `Refused`.

    A wrong top speed makes every later target wrong, so a value outside is a typing or unit error until shown
    otherwise.
    """
    require(lowest <= found.band.value <= highest, "sprint.implausible", found.band.value)
    return found
