"""The fit of split times: against scipy's, by the rule on offsets, and on simulated clocks that start late."""

import random
from statistics import fmean

import pytest
from hypothesis import given, strategies as st
from scipy.optimize import curve_fit

from coachbot.core.sums.band import Z
from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.splits import SplitRule, Splits, fit, from_splits, offset_of
from coachbot.core.sums.sprint import Sprinter, time

PRINTED = Splits((5, 10, 20, 30, 35), (1.21, 1.99, 3.38, 4.71, 5.30))


@pytest.fixture
def rule(number: dict[str, float]) -> SplitRule:
    return SplitRule(
        fixed=number["running_maths.start_offset"],
        free_gates=number["running_maths.offset_free_gates"],
        fixed_gates=number["running_maths.offset_fixed_gates"],
        far=number["running_maths.offset_free_far"],
        free_error=number["running_maths.fit_free_error"] / 100,
        fixed_error=number["running_maths.fit_fixed_error"] / 100,
        most_miss=number["running_maths.fit_most_miss"],
        least_tau=number["running_maths.fit_least_tau"],
        most_tau=number["running_maths.fit_most_tau"],
    )


def splits_of(runner: Sprinter, gates: tuple[float, ...], late: float = 0, noise: float = 0, seed: int = 0) -> Splits:
    """What a clock that starts `late` s after the runner shows."""
    chance = random.Random(seed)
    times = tuple(time(runner, gate) - late + chance.gauss(0, noise) for gate in gates)
    return Splits(gates, times)


@pytest.mark.parametrize("offset", [0, 0.3, None])
def test_fit_agrees_with_scipy(offset: float | None) -> None:
    """Values and standard error of scipy.optimize.curve_fit on the printed splits."""

    def clock(gates: list[float], top: float, tau: float, held: float = offset or 0) -> list[float]:
        return [time(Sprinter(top, tau), gate) - held for gate in gates]

    start = (8, 1) if offset is not None else (8, 1, 0.1)
    values, covariance = curve_fit(clock, PRINTED.gates, PRINTED.times, p0=start)
    ours = fit(PRINTED, offset)
    assert (ours.runner.top, ours.runner.tau) == pytest.approx(tuple(values[:2]), rel=1e-5)
    assert ours.top_error == pytest.approx(covariance[0, 0] ** 0.5, rel=1e-3)


@given(st.floats(5, 12), st.floats(0.7, 1.6), st.floats(-0.1, 0.5))
def test_perfect_splits_are_found(top: float, tau: float, late: float) -> None:
    found = fit(splits_of(Sprinter(top, tau), (5, 10, 20, 30, 40), late), None)
    assert (found.runner.top, found.runner.tau, found.offset) == pytest.approx((top, tau, late), abs=1e-4)


@pytest.mark.parametrize(
    ("gates", "bias_none", "bias_fixed"),
    [((5, 10, 20, 30), -5.6, 1.9), ((5, 10, 20, 30, 40), -3.8, 1.1), ((10, 20, 30, 40), -2.5, 0.9)],
)
def test_late_clock_bends_the_fit(gates: tuple[float, ...], bias_none: float, bias_fixed: float) -> None:
    """Mean error in % of 8.5 m/s, clock late N(.25, .05) s, gate noise .01 s (computed with scipy on other draws)."""
    runner, late = Sprinter(8.5, 1.1), random.Random(7)
    shown = [splits_of(runner, gates, late.gauss(0.25, 0.05), 0.01, seed) for seed in range(400)]
    for offset, bias in ((0, bias_none), (0.3, bias_fixed), (None, 0.1)):
        errors = [fit(one, offset).runner.top / 8.5 * 100 - 100 for one in shown]
        assert fmean(errors) == pytest.approx(bias, abs=0.4)


@pytest.mark.parametrize(
    ("gates", "offset"),
    [((5, 10, 20, 30), None), ((10, 20, 30, 40), None), ((5, 10, 15, 20), 0.3), ((10, 20, 30), 0.3)],
)
def test_gates_decide_the_offset(gates: tuple[float, ...], offset: float | None, rule: SplitRule) -> None:
    assert offset_of(splits_of(Sprinter(8, 1), gates), rule) == offset


@pytest.mark.parametrize("gates", [(30,), (10, 30)])
def test_two_gates_are_refused(gates: tuple[float, ...], rule: SplitRule) -> None:
    with pytest.raises(Refused, match=r"splits\.few"):
        from_splits(splits_of(Sprinter(8, 1), gates), rule)


def test_no_fit_beats_simulation(rule: SplitRule) -> None:
    """Perfect splits leave no residual, and still carry the error that simulated clocks leave."""
    top, found = from_splits(splits_of(Sprinter(8.5, 1.1), (5, 10, 20, 30, 40), 0.25), rule)
    assert found.fitted
    assert top.band.high - top.band.value == pytest.approx(Z * 0.019 * 8.5, rel=1e-3)


def test_three_gates_say_so(rule: SplitRule) -> None:
    top, found = from_splits(splits_of(Sprinter(8.5, 1.1), (10, 20, 30), 0.3), rule)
    assert not found.fitted
    assert found.offset == 0.3
    assert top.band.high - top.band.value == pytest.approx(Z * 0.03 * 8.5, rel=1e-3)


@pytest.mark.parametrize(
    "times",
    [
        (1.21, 1.99, 3.58, 4.71, 5.30),
        (1.21, 1.99, 3.83, 4.71, 5.30),
        (1.21, 1.59, 3.38, 4.71, 5.30),
        (1.21, 1.99, 3.38, 4.71, 5.03),
        (1.21, 1.99, 3.38, 4.71, 5.80),
        (2.21, 2.99, 3.38, 4.71, 5.30),
    ],
)
def test_slipped_digit_is_refused(times: tuple[float, ...], rule: SplitRule) -> None:
    """The printed splits with one slip of the finger: the first would give 10.3 instead of 7.9 m/s."""
    with pytest.raises(Refused):
        from_splits(Splits(PRINTED.gates, times), rule)
    assert from_splits(PRINTED, rule)[0].band.value == pytest.approx(7.93, abs=5e-3)


def test_ordinary_splits_pass(rule: SplitRule) -> None:
    """Gates read to .01 s and a clock .25 s late are never called a mistake."""
    for seed in range(300):
        top, _ = from_splits(splits_of(Sprinter(8.5, 1.1), (5, 10, 20, 30), 0.25, 0.01, seed), rule)
        assert top.band.value == pytest.approx(8.5, rel=0.08)


def test_slow_gain_is_refused(rule: SplitRule) -> None:
    """A smooth curve with a tau of 3 s is no sprint, however well it fits."""
    with pytest.raises(Refused, match=r"splits\.unlikely"):
        from_splits(splits_of(Sprinter(10, 3), (5, 10, 20, 30, 40)), rule)


@pytest.mark.parametrize(
    ("gates", "times", "code"),
    [
        ((5, 10), (1.2,), "splits.uneven"),
        ((10, 5, 20), (1, 2, 3), "splits.order"),
        ((5, 10, 20), (1.2, 1.2, 3), "splits.order"),
        ((0, 10, 20), (1, 2, 3), "splits.order"),
        ((5, 10, 20), (1, float("nan"), 3), "splits.order"),
    ],
)
def test_disordered_splits_are_refused(gates: tuple[float, ...], times: tuple[float, ...], code: str) -> None:
    with pytest.raises(Refused) as refused:
        Splits(gates, times)
    assert refused.value.code == code


@given(st.lists(st.floats(0.3, 3), min_size=4, max_size=6))
def test_any_splits_end(laps: list[float]) -> None:
    """Whatever the times, the fit ends with a runner or a refusal, never with another error or none."""
    gates = tuple(10.0 * (i + 1) for i in range(len(laps)))
    times = tuple(sum(laps[: i + 1]) for i in range(len(laps)))
    try:
        assert fit(Splits(gates, times), None).runner.top > 0
    except Refused as refused:
        assert refused.code == "splits.unfitted"
