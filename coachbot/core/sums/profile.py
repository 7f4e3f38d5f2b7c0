"""One run-through as a speed profile for given zone lengths: cones, times, effort and what a clock can tell of it.

Speeds are shares of the athlete's own top speed (0 to 1), lengths are m, times s. It decides no step and knows no
number of the programme; without a measured top speed none of this may be shown.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from .band import Band, Z, around
from .refusal import require
from .sprint import Sprinter

SLACK = 1e-9
"""Shares of top speed nearer than this are one speed: adding steps of 0.1 misses 0.8 by rounding."""

Clock = Literal["stopwatch", "video"]
Verdict = Literal["fine", "hard", "refused"]


@dataclass(frozen=True)
class Zone:
    """A stretch of `length` m (above 0), entered and left at shares of top speed (0 to 1, not both 0; else
    `Refused`)."""

    length: float
    enter: float
    leave: float

    def __post_init__(self) -> None:
        require(0 < self.length < math.inf, "profile.length", self.length)
        require(0 <= self.enter <= 1 and 0 <= self.leave <= 1, "profile.share", (self.enter, self.leave))
        require(self.enter + self.leave > 0, "profile.still", (self.enter, self.leave))


@dataclass(frozen=True)
class EffortLimits:
    """Above `refuse` no run-through is offered; above `warn` it is hard for speeds under the share `warn_below`."""

    warn: float
    warn_below: float
    refuse: float


def run_through(build: float, hold: float, slow: float, share: float) -> tuple[Zone, Zone, Zone]:
    """Build up from a stand to `share`, hold it, slow down to a stand; lengths in m, all above 0."""
    return Zone(build, 0.0, share), Zone(hold, share, share), Zone(slow, share, 0.0)


def seconds(zone: Zone, top: float) -> float:
    """Time for a zone at constant acceleration, s: 2 L / (v0 + v1); `top` in m/s above 0."""
    require(top > 0, "profile.top", top)
    return 2 * zone.length / ((zone.enter + zone.leave) * top)


def steepness(zone: Zone, top: float) -> float:
    """The constant acceleration of a zone, m/s2, negative when slowing down: (v1^2 - v0^2) / (2 L); `top` in m/s."""
    return top**2 * (zone.leave**2 - zone.enter**2) / (2 * zone.length)


def slowest_stop(speed: float, steepest: float) -> float:
    """The metres needed to stop from `speed` m/s at no more than `steepest` m/s2 (above 0): v^2 / (2 a)."""
    require(steepest > 0, "profile.steepest", steepest)
    return speed**2 / (2 * steepest)


def effort(zone: Zone, runner: Sprinter) -> float:
    """The share of all-out acceleration a building zone asks for at every speed; 0 when it does not build.

    e = top tau (h(leave) - h(enter)) / L with h(f) = -ln(1 - f) - f, from the exponential sprint model: what is left to
    accelerate with shrinks as speed grows, so the zone's length and not its mean acceleration is the limit. Above 1 the
    zone cannot be run at all; a build-up to the whole top speed is infinite.
    """
    if zone.leave <= zone.enter:
        return 0.0
    return runner.top * runner.tau * (_distance_to(zone.leave) - _distance_to(zone.enter)) / zone.length


def build_length(enter: float, leave: float, wanted: float, runner: Sprinter) -> float:
    """The metres a build-up between two shares (0 <= enter < leave < 1) needs to ask for no more than the wanted
    effort.

    The inverse of `effort`: L = top tau (h(leave) - h(enter)) / e, with e above 0 and up to 1.
    """
    require(0 <= enter < leave < 1, "profile.share", (enter, leave))
    require(0 < wanted <= 1, "profile.effort", wanted)
    return runner.top * runner.tau * (_distance_to(leave) - _distance_to(enter)) / wanted


def build_seconds(zone: Zone, runner: Sprinter) -> float:
    """Time for a building zone run at its constant effort share, s: (tau / e) ln((1 - enter) / (1 - leave)).

    Shorter than `seconds` says, because the speed rises early. `Refused` unless the zone builds to less than the top.
    """
    require(zone.enter < zone.leave < 1, "profile.share", (zone.enter, zone.leave))
    return runner.tau / effort(zone, runner) * math.log((1 - zone.enter) / (1 - zone.leave))


def verdict(asked: float, share: float, limits: EffortLimits) -> Verdict:
    """Whether a build-up that asks for this effort to reach `share` of top speed may be offered."""
    if asked > limits.refuse:
        return "refused"
    return "hard" if asked > limits.warn and share < limits.warn_below - SLACK else "fine"


def cones(zones: Sequence[Zone], spacing: float) -> tuple[float, ...]:
    """Where the cones stand, m from the start: the ends of every zone, and each `spacing` m in the zone at full
    pace."""
    require(spacing > 0, "profile.spacing", spacing)
    fastest = max(zone.leave for zone in zones)
    marks, start = {0.0}, 0.0
    for zone in zones:
        if zone.enter == zone.leave == fastest:
            marks |= {start + spacing * n for n in range(1, math.ceil(zone.length / spacing))}
        start += zone.length
        marks.add(start)
    return tuple(sorted(marks))


def fast_metres(zones: Sequence[Zone], threshold: float) -> float:
    """Metres run at or above a share of own top speed (0 to 1).

    At constant acceleration the square of the speed is linear in distance, so of a zone between v0 and v1 the part
    (vhigh^2 - threshold^2) / (vhigh^2 - vlow^2) counts. A zone held exactly at the threshold counts whole.
    """
    return sum(zone.length * _part_above(zone, threshold) for zone in zones)


def target(length: float, share: float, top: float, clock_sd: float) -> Band:
    """What the clock should read for a zone held at `share` of `top` m/s, s, give or take the clock's own error.

    L / (share top) +- 1.96 clock_sd, with `clock_sd` in s. All above 0 (`clock_sd` may be 0), else `Refused`.
    """
    require(length > 0 and top > 0, "profile.length", (length, top))
    require(0 < share <= 1, "profile.share", share)
    return around(length / (share * top), Z * clock_sd)


def achieved(length: float, clock: float, top: Band, clock_sd: float) -> Band:
    """What share of top speed a zone of `length` m run in `clock` s really was, with its range.

    share = L / (t top). The two errors are independent and add as squares: 1.96 clock_sd / t, and the half-width of the
    top speed (a `Band` in m/s). No hand-timing correction is added: that rule is for a start seen or heard, and on a
    flying zone both presses follow the eye.
    """
    require(length > 0 and top.value > 0, "profile.length", (length, top.value))
    share = length / _positive(clock) / top.value
    relative = math.hypot(resolution(clock, clock_sd), (top.high - top.low) / 2 / top.value)
    return around(share, share * relative)


def resolution(clock: float, clock_sd: float) -> float:
    """The 95 % half-width of a timed speed as a share of it: 1.96 clock_sd / t, both in s and t above 0."""
    return Z * clock_sd / _positive(clock)


def tells_apart(step: float, clock_sd: float) -> float:
    """The least time a zone must last, s, for a clock to tell two speeds apart that differ by the share `step`.

    The half-width must stay under half a step: t = 1.96 clock_sd / (step / 2).
    """
    require(step > 0, "profile.step", step)
    return Z * clock_sd / (step / 2)


def video_sd(frames_a_second: float) -> float:
    """Standard deviation of a time read off a video, s: two lines, each to within one frame, sqrt(2 / 12) / frames."""
    require(frames_a_second > 0, "profile.frames", frames_a_second)
    return math.sqrt(2 / 12) / frames_a_second


def clock_for(share: float, clock: float, video_from: float, shortest: float) -> Clock:
    """Which clock to advise: video from a share of top speed on, or when the zone is over in less than `shortest` s."""
    return "video" if share >= video_from - SLACK or clock < shortest else "stopwatch"


def _positive(clock: float) -> float:
    require(0 < clock < math.inf, "profile.time", clock)
    return clock


def _distance_to(share: float) -> float:
    """Metres over (top tau) an all-out runner needs to reach a share of top speed: -ln(1 - f) - f."""
    return -math.log1p(-share) - share if share < 1 else math.inf


def _part_above(zone: Zone, threshold: float) -> float:
    """The part (0 to 1) of a zone run at or above the threshold."""
    low, high = sorted((zone.enter, zone.leave))
    if threshold <= low + SLACK:
        return 1.0
    if threshold > high:
        return 0.0
    return (high**2 - threshold**2) / (high**2 - low**2)
