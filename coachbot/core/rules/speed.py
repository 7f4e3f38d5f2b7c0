"""What one run-through should be for an athlete with a measured top speed; without one it says nothing at all.

It decides no step, asks for no test and uses no top speed that is older than the programme allows.
"""

from dataclasses import dataclass
from math import ceil

from coachbot.core.book import Stage
from coachbot.core.days import days_between, local_day
from coachbot.core.events import Run, Target
from coachbot.core.sums import profile
from coachbot.core.sums.band import Band, Z, around
from coachbot.core.sums.profile import EffortLimits, Zone
from coachbot.core.sums.sprint import Sprinter
from coachbot.core.turn import Turn

PERCENT = 100
WHOLE = 1.0
"""Metres to which a lengthened zone is rounded up: cones are paced out."""


@dataclass(frozen=True)
class Top:
    """A top speed fit to set targets by: its range in m/s, the tau in s, how and when it was found."""

    band: Band
    tau: float
    method: str
    age: int

    @property
    def runner(self) -> Sprinter:
        """The athlete as the sprint model sees them."""
        return Sprinter(self.band.value, self.tau)


def top_speed(turn: Turn) -> Top | None:
    """The athlete's top speed, a clinician's before the athlete's own word; None when unknown or too old."""
    found = _measured(turn) or _told(turn)
    return found if found and found.age <= turn.number("running_maths.top_speed_age") else None


def _measured(turn: Turn) -> Top | None:
    entered = turn.state.top_speed
    if entered is None:
        return None
    band = Band(entered.value, entered.low, entered.high)
    tau = entered.tau or turn.number("running_maths.tau")
    return Top(band, tau, entered.method, days_between(entered.day, turn.today))


def _told(turn: Turn) -> Top | None:
    """What the athlete told at the intake; nobody asked for its day, so it ages from the day it was told."""
    value, answer = turn.state.intake.get("top_speed"), turn.state.answers.get("top_speed")
    if not isinstance(value, float) or answer is None:
        return None
    error = turn.number("running_maths.told_error") / PERCENT
    age = days_between(local_day(answer.at, turn.state.zone), turn.today)
    return Top(around(value, Z * error * value), turn.number("running_maths.tau"), "told", age)


def zones(turn: Turn, stage: Stage, percent: float, top: Top | None) -> tuple[float, float, float]:
    """The lengths of the three zones in m: the stage's own, longer where this runner needs more room."""
    build, hold, slow = (turn.value(zone) for zone in stage.zones)
    if top is None or _jogs(turn, stage):
        return build, hold, slow
    share = _share(turn, percent)
    build = max(build, profile.build_length(0, share, turn.number("running_maths.effort_wanted"), top.runner))
    slow = max(slow, profile.slowest_stop(share * top.band.value, turn.number("running_maths.slow_down_limit")))
    return ceil(build / WHOLE) * WHOLE, hold, ceil(slow / WHOLE) * WHOLE


def target(turn: Turn, stage: Stage, percent: float, lengths: tuple[float, float, float], top: Top) -> Target:
    """Cones, effort, and for a zone at full pace its time on the clock that can read it."""
    share, parts = _share(turn, percent), _zones(turn, stage, percent, lengths)
    asked = max(profile.effort(zone, top.runner) for zone in parts)
    limits = EffortLimits(
        turn.number("running_maths.effort_warn"),
        turn.number("running_maths.effort_warn_below") / PERCENT,
        turn.number("running_maths.effort_refuse"),
    )
    plain = Target(
        top=top.band.value,
        speed=share * top.band.value,
        cones=profile.cones(parts, sum(lengths) if _jogs(turn, stage) else turn.number("running_maths.cone_spacing")),
        effort=asked,
        hard=profile.verdict(asked, share, limits) != "fine",
    )
    return plain if _jogs(turn, stage) else _clocked(turn, plain, lengths[1], share)


def _clocked(turn: Turn, plain: Target, hold: float, share: float) -> Target:
    stopwatch, step = turn.number("running_maths.stopwatch_sd"), turn.number("running_maths.tell_apart") / PERCENT
    shortest, video_from = profile.tells_apart(step, stopwatch), turn.number("running_maths.video_from") / PERCENT
    clock = profile.clock_for(share, hold / plain.speed, video_from, shortest)
    video = profile.video_sd(turn.number("running_maths.video_frames"))
    time = profile.target(hold, share, plain.top, stopwatch if clock == "stopwatch" else video)
    return plain.model_copy(update={"clock": clock, "seconds": time.value, "low": time.low, "high": time.high})


def really(turn: Turn, line: Run, seconds: float) -> Band | None:
    """What share of top speed, in %, a time over the fast zone was; None when the line has no clocked zone.

    No correction is added for a hand-held clock: on a flying zone both presses follow the eye.
    """
    aim, top = line.target, top_speed(turn)
    if aim is None or aim.clock is None or top is None:
        return None
    sd = turn.number("running_maths.stopwatch_sd")
    if aim.clock == "video":
        sd = profile.video_sd(turn.number("running_maths.video_frames"))
    share = profile.achieved(line.zones[1], seconds, top.band, sd)
    return Band(share.value * PERCENT, share.low * PERCENT, share.high * PERCENT)


def counted(turn: Turn, line: Run, percent: float) -> float:
    """The speed a timed run counts as: near enough to the asked one is all of it, as a top is only approached."""
    near = line.percent * turn.number("running_maths.reached") / PERCENT
    return max(percent, line.percent) if percent >= near else percent


def likely(turn: Turn, percent: float) -> bool:
    """Whether a timed speed is one a runner can have: a little over an old top speed, and no slower than a jog."""
    slack = turn.number("running_maths.told_slack")
    return turn.book.stages[0].first.range[0] <= percent <= PERCENT + slack


def fast_metres(turn: Turn, line: Run, repetitions: int, top: float) -> float:
    """Metres above the programme's share of own top speed in all run-throughs of a line."""
    stage = next(each for each in turn.book.stages if each.number == line.stage)
    parts = _zones(turn, stage, min(top, line.percent), line.zones)
    return repetitions * profile.fast_metres(parts, turn.number("running_maths.fast_metres_from") / PERCENT)


def _jogs(turn: Turn, stage: Stage) -> bool:
    """Whether a stage begins and ends with a jog and holds no full pace: the first one."""
    return stage.number == turn.book.stages[0].number


def _share(turn: Turn, percent: float) -> float:
    """The share of top speed to aim at: the top itself is only approached, so nearly all of it stands for it."""
    return min(percent, turn.number("running_maths.reached")) / PERCENT


def _zones(turn: Turn, stage: Stage, percent: float, lengths: tuple[float, float, float]) -> tuple[Zone, Zone, Zone]:
    share = _share(turn, percent)
    if not _jogs(turn, stage):
        return profile.run_through(*lengths, share)
    jog = min(turn.number("running_maths.jog") / PERCENT, share)
    build, hold, slow = lengths
    return Zone(build, jog, jog), Zone(hold, jog, share), Zone(slow, jog, jog)
