"""A run-through as a speed profile: lengths, times, effort and clocks, against integrals of the same motion."""

import math

import pytest
from hypothesis import assume, given, strategies as st

from coachbot.core.sums.band import Band
from coachbot.core.sums.profile import (
    EffortLimits,
    Zone,
    achieved,
    build_length,
    build_seconds,
    clock_for,
    cones,
    effort,
    fast_metres,
    run_through,
    seconds,
    steepness,
    target,
    tells_apart,
    verdict,
)
from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.sprint import Sprinter, acceleration, share_within, time

SHARES = st.floats(0.3, 0.97)
LENGTHS = st.floats(10, 80)
RUNNERS = st.builds(Sprinter, st.floats(5, 12), st.floats(0.7, 1.6))
RUNNER = Sprinter(8.5, 1.1)


@given(RUNNERS, LENGTHS)
def test_all_out_is_effort_one(runner: Sprinter, length: float) -> None:
    """A build-up to just what an all-out runner reaches in its length asks for all of the acceleration."""
    zone = Zone(length, 0, share_within(runner, length))
    assert effort(zone, runner) == pytest.approx(1, rel=1e-6)
    assert build_seconds(zone, runner) == pytest.approx(time(runner, length), rel=1e-6)


@given(RUNNERS, SHARES, st.floats(0.1, 1))
def test_build_length_inverts_effort(runner: Sprinter, share: float, wanted: float) -> None:
    zone = Zone(build_length(0, share, wanted, runner), 0, share)
    assert effort(zone, runner) == pytest.approx(wanted)


@given(RUNNERS, SHARES, st.floats(0.1, 0.25), LENGTHS)
def test_constant_effort_keeps_its_share(runner: Sprinter, share: float, enter: float, length: float) -> None:
    """Integrate dv/dt = e (top - v) / tau from one speed to the other: the metres must be the zone's."""
    zone = Zone(length, enter, share)
    asked, steps = effort(zone, runner), 2000
    wait, covered, pace = build_seconds(zone, runner) / steps, 0.0, enter * runner.top
    for _ in range(steps):
        halfway = pace + asked * (runner.top - pace) / runner.tau * wait / 2
        covered += halfway * wait
        pace += asked * (runner.top - halfway) / runner.tau * wait
    assert pace == pytest.approx(share * runner.top, rel=1e-3)
    assert covered == pytest.approx(length, rel=1e-3)


def test_mild_slope_hides_hard_start() -> None:
    """20 m to 95 %: 1.63 m/s2 on average, and an effort share of .96 (computed from the model)."""
    zone = run_through(20, 60, 20, 0.95)[0]
    assert steepness(zone, 8.5) == pytest.approx(1.63, abs=5e-3)
    assert steepness(zone, 8.5) > acceleration(RUNNER, 0.95 * 8.5)
    assert effort(zone, RUNNER) == pytest.approx(0.96, abs=5e-3)


@pytest.mark.parametrize(
    ("asked", "share", "said"),
    [(0.38, 0.8, "fine"), (0.55, 0.8, "hard"), (0.66, 0.9, "fine"), (0.96, 0.95, "refused"), (math.inf, 1, "refused")],
)
def test_effort_is_judged(asked: float, share: float, said: str, number: dict[str, float]) -> None:
    warn, refuse = number["running_maths.effort_warn"], number["running_maths.effort_refuse"]
    limits = EffortLimits(warn, number["running_maths.effort_warn_below"] / 100, refuse)
    assert verdict(asked, share, limits) == said


@given(SHARES, LENGTHS, st.floats(0, 1))
def test_fast_metres_agree_with_sampling(share: float, length: float, threshold: float) -> None:
    """Count thousandths of the distance by v^2 = v0^2 + 2 a x."""
    assume(abs(threshold - share) > 1e-6)
    zones = run_through(length, length, length, share)
    counted = 0.0
    for zone in zones:
        squares = (zone.enter**2 + (zone.leave**2 - zone.enter**2) * (i + 0.5) / 1000 for i in range(1000))
        counted += sum(square >= threshold**2 - 1e-12 for square in squares) * length / 1000
    assert fast_metres(zones, threshold) == pytest.approx(counted, abs=2e-3 * length)


def test_held_threshold_counts_whole() -> None:
    assert fast_metres(run_through(30, 50, 30, 0.8), 0.8) == 50
    assert fast_metres(run_through(30, 50, 30, 0.6 + 0.1 + 0.1), 0.8) == 50
    assert fast_metres(run_through(30, 50, 30, 0.79), 0.8) == 0


def test_cones_mark_every_zone() -> None:
    assert cones(run_through(20, 60, 20, 0.8), 10) == (0, 20, 30, 40, 50, 60, 70, 80, 100)
    assert cones(run_through(30, 25, 30, 0.9), 10) == (0, 30, 40, 50, 55, 85)


def test_jog_gets_no_cones() -> None:
    """The first stage holds no speed: a jog, a long build-up, a jog."""
    assert cones((Zone(20, 0.3, 0.3), Zone(60, 0.3, 0.5), Zone(20, 0.3, 0.3)), 10) == (0, 20, 80, 100)


def test_cone_times_of_the_teaching_picture() -> None:
    """30 to 80 m of 20/60/20 at 80 % of 8.5 m/s: 7.35, 8.82 ... 14.71 s (identity)."""
    build, hold, _ = run_through(20, 60, 20, 0.8)
    start, pace = seconds(build, 8.5), seconds(hold, 8.5) / 6
    shown = [start + pace * n for n in range(1, 7)]
    assert shown == pytest.approx([7.35, 8.82, 10.29, 11.76, 13.24, 14.71], abs=6e-3)


@given(SHARES, LENGTHS, st.floats(5, 12), st.floats(0, 0.2))
def test_target_and_achieved_agree(share: float, length: float, top: float, clock_sd: float) -> None:
    aim = target(length, share, top, clock_sd)
    assert achieved(length, aim.value, Band(top, top, top), clock_sd).value == pytest.approx(share)
    assert aim.low <= aim.value <= aim.high


def test_flying_zone_needs_no_hand_correction() -> None:
    """60 m in 8.60 s of 8.5 m/s +- 2 % is 82 % (80 to 84); with .24 s added it would be 79.9 (identity)."""
    done = achieved(60, 8.6, Band(8.5, 8.5 * 0.98, 8.5 * 1.02), 0.07)
    assert [round(100 * share) for share in (done.value, done.low, done.high)] == [82, 80, 84]
    assert done.value > achieved(60, 8.84, Band(8.5, 8.5, 8.5), 0.07).value


@pytest.mark.parametrize(
    ("share", "length", "said"), [(0.8, 50, "stopwatch"), (0.8, 30, "video"), (0.9, 60, "video"), (1, 20, "video")]
)
def test_short_or_fast_wants_video(share: float, length: float, said: str, number: dict[str, float]) -> None:
    shortest = tells_apart(number["running_maths.tell_apart"] / 100, number["running_maths.stopwatch_sd"])
    video_from = number["running_maths.video_from"] / 100
    assert clock_for(share, length / (share * 8.5), video_from, shortest) == said


@pytest.mark.parametrize(("length", "enter", "leave"), [(0, 0, 0.5), (20, 0, 1.1), (20, -0.1, 0.5), (20, 0, 0)])
def test_impossible_zone_is_refused(length: float, enter: float, leave: float) -> None:
    with pytest.raises(Refused):
        Zone(length, enter, leave)


def test_whole_top_speed_is_never_reached() -> None:
    with pytest.raises(Refused, match=r"profile\.share"):
        build_length(0, 1, 0.5, RUNNER)
    with pytest.raises(Refused, match=r"profile\.share"):
        build_seconds(Zone(60, 0, 1), RUNNER)
