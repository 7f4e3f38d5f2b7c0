"""The sprint model against its own inverse, against scipy's Lambert W, and at the start where that one fails."""

import math

import pytest
from hypothesis import given, strategies as st
from scipy.special import lambertw

from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.sprint import (
    Sprinter,
    acceleration,
    distance,
    from_device,
    from_flying,
    segment_share,
    speed,
    time,
    usable,
)

RUNNERS = st.builds(Sprinter, st.floats(4, 13), st.floats(0.4, 2.5))


@given(RUNNERS, st.floats(0, 400))
def test_time_inverts_distance(runner: Sprinter, metres: float) -> None:
    assert distance(runner, time(runner, metres)) == pytest.approx(metres, abs=1e-9)


@given(RUNNERS, st.floats(0.01, 200))
def test_time_agrees_with_scipy(runner: Sprinter, metres: float) -> None:
    """t = tau W(-exp(-d / (top tau) - 1)) + d / top + tau, scipy.special.lambertw."""
    branch = lambertw(-math.exp(-metres / (runner.top * runner.tau) - 1)).real
    expected = runner.tau * branch + metres / runner.top + runner.tau
    assert time(runner, metres) == pytest.approx(float(expected), abs=1e-7)


@given(RUNNERS, st.floats(0, 1e-6))
def test_start_has_no_trap(runner: Sprinter, metres: float) -> None:
    """Near the start distance is a t^2 / 2, so t = sqrt(2 d tau / top); scipy gives no number at d = 0."""
    expected = math.sqrt(2 * metres * runner.tau / runner.top)
    assert time(runner, metres) == pytest.approx(expected, rel=1e-3, abs=1e-12)


@given(RUNNERS, st.floats(0, 200), st.floats(0.01, 50))
def test_farther_takes_longer(runner: Sprinter, metres: float, more: float) -> None:
    assert time(runner, metres + more) > time(runner, metres)


@given(RUNNERS, st.floats(0, 10))
def test_speed_obeys_its_equation(runner: Sprinter, seconds: float) -> None:
    """dv/dt = (top - v) / tau, by a small difference."""
    slope = (speed(runner, seconds + 1e-6) - speed(runner, seconds)) / 1e-6
    assert slope == pytest.approx(acceleration(runner, speed(runner, seconds)), abs=1e-3)


@given(RUNNERS, st.floats(0, 60), st.floats(5, 40))
def test_segment_never_exceeds_top(runner: Sprinter, start: float, length: float) -> None:
    assert 0 < segment_share(runner, start, start + length) < 1 + 1e-9


def test_flying_time_carries_its_error(number: dict[str, float]) -> None:
    """20 m in 2.4 s by stopwatch: 8.33 m/s, 1.96 x .07 / 2.4 = 5.7 % either way (identity)."""
    found = from_flying(20, 2.4, number["running_maths.stopwatch_sd"], 30, number["running_maths.tau"])
    assert found.band.value == pytest.approx(8.333, abs=1e-3)
    assert (found.band.high - found.band.value) / found.band.value == pytest.approx(0.0572, abs=1e-3)
    assert 0 < found.reads_low < 0.01


def test_short_run_up_reads_low() -> None:
    """20-30 m of a runner of 9.5 m/s with tau 1.25 reads 4.9 % low (computed from the model)."""
    runner = Sprinter(9.5, 1.25)
    seconds = time(runner, 30) - time(runner, 20)
    found = from_flying(10, seconds, 0, 20, 1.25)
    assert found.band.value / 9.5 == pytest.approx(0.951, abs=5e-4)
    assert found.reads_low == pytest.approx(0.049, abs=1e-2)


def test_device_error_is_relative() -> None:
    """Coefficient of variation 1.7 %: Zabaloy et al. 2021 (abstract); 1.96 x 1.7 % of 9 m/s = 0.30."""
    band = from_device(9, 0.017).band
    assert (band.low, band.high) == pytest.approx((8.70, 9.30), abs=1e-2)


@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_senseless_runner_is_refused(value: float) -> None:
    with pytest.raises(Refused):
        Sprinter(value, 1)
    with pytest.raises(Refused):
        Sprinter(8, value)


@pytest.mark.parametrize("metres", [-0.1, math.nan, math.inf])
def test_senseless_distance_is_refused(metres: float) -> None:
    with pytest.raises(Refused, match=r"sprint\.distance"):
        time(Sprinter(8, 1), metres)


@pytest.mark.parametrize("kmh_as_ms", [27.5, 4.9, 42])
def test_implausible_speed_is_refused(kmh_as_ms: float) -> None:
    with pytest.raises(Refused, match=r"sprint\.implausible"):
        usable(from_device(kmh_as_ms, 0.02), 5, 12)
    assert usable(from_device(8.5, 0.02), 5, 12).band.value == 8.5
