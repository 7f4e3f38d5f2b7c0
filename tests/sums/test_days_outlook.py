"""Days to return as ranges: against scipy's curves, the posterior by brute force, and lifelines' survival curve."""

import math
import warnings

import numpy as np
import pytest
from hypothesis import assume, given, settings, strategies as st
from scipy.stats import lognorm, norm, t as student_t

from coachbot.core.sums import student
from coachbot.core.sums.outlook import Spread, combined, lognormal, of_ten
from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.survival import Case, kaplan_meier

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from lifelines import KaplanMeierFitter

SPREADS = st.builds(lognormal, st.floats(3, 90), st.floats(2, 60))
CASES = st.lists(st.tuples(st.integers(1, 60).map(float), st.booleans()), min_size=1, max_size=25)


@given(st.floats(-40, 40), st.integers(1, 60))
def test_student_agrees_with_scipy(t: float, freedom: int) -> None:
    """scipy.stats.t, which rounds to 0.5 very near the middle."""
    assert student.cdf(t, freedom) == pytest.approx(float(student_t.cdf(t, freedom)), abs=1e-8)


@given(st.floats(0.001, 0.999), st.integers(1, 60))
def test_student_quantile_agrees_with_scipy(share: float, freedom: int) -> None:
    assert student.quantile(share, freedom) == pytest.approx(float(student_t.ppf(share, freedom)), rel=1e-7, abs=1e-7)


@given(st.floats(3, 90), st.floats(2, 60))
def test_lognormal_keeps_mean_and_sd(mean: float, sd: float) -> None:
    """scipy.stats.lognorm with our centre and scale has the published mean and deviation."""
    spread = lognormal(mean, sd)
    curve = lognorm(spread.scale, scale=math.exp(spread.centre))
    assert (curve.mean(), curve.std()) == pytest.approx((mean, sd))
    assert spread.back_by(mean) == pytest.approx(curve.cdf(mean))


@given(SPREADS, st.floats(0.02, 0.98))
def test_day_inverts_share(spread: Spread, share: float) -> None:
    assert spread.back_by(spread.day(share)) == pytest.approx(share)


@given(SPREADS)
def test_range_never_starts_before_injury(spread: Spread) -> None:
    """Mean - SD of grade 3, 73 +- 60 days, is near 0, and of wider groups below."""
    found = of_ten(spread, 8)
    assert 0 < found.low < found.median < found.high


def test_combination_agrees_with_brute_force() -> None:
    """The posterior summed over a fine grid of mean and variance (numpy), its predictive curve at three days."""
    published, worth, own = lognormal(17, 10), 8, (25.0, 31.0, 12.0, 40.0)
    mean, variance = np.meshgrid(np.linspace(1, 5, 801), np.exp(np.linspace(-4, 3, 1401)), indexing="ij")
    deviation = np.sqrt(variance)
    log = norm.logpdf(mean, published.centre, deviation / math.sqrt(worth))
    log += -(worth / 2 + 1) * np.log(variance) - worth / 2 * published.scale**2 / variance
    log += sum(norm.logpdf(math.log(day), mean, deviation) for day in own)
    weight = np.exp(log - log.max()) * variance  # the grid is even in the log of the variance
    ours = combined(published, worth, own)
    for day in (10.0, 20.0, 45.0):
        share = (norm.cdf((math.log(day) - mean) / deviation) * weight).sum() / weight.sum()
        assert ours.back_by(day) == pytest.approx(float(share), abs=1e-3)


def test_own_cases_take_over() -> None:
    published = lognormal(17, 10)
    slow = [40.0, 50.0, 60.0] * 40
    assert combined(published, 8, ()).day(0.5) == pytest.approx(published.day(0.5))
    assert published.day(0.5) < combined(published, 8, slow[:3]).day(0.5) < 30
    assert combined(published, 8, slow).day(0.5) == pytest.approx(49.3, rel=0.12)


@given(SPREADS, st.floats(1, 60))
def test_waiting_moves_the_range(spread: Spread, day: float) -> None:
    """Who is not back by a day comes back after it, and later than all athletes together."""
    late = of_ten(combined(spread, 8, ()), 8, day)
    all_of_them = of_ten(combined(spread, 8, ()), 8)
    assert late.low > day
    assert late.median > all_of_them.median


@pytest.mark.parametrize("athletes", [0, 10, 11])
def test_ten_of_ten_is_no_range(athletes: int) -> None:
    with pytest.raises(Refused, match=r"outlook\.athletes"):
        of_ten(lognormal(17, 10), athletes)


@pytest.mark.parametrize(("worth", "own"), [(0, ()), (8, (0.0,)), (8, (-3.0,))])
def test_senseless_cases_are_refused(worth: int, own: tuple[float, ...]) -> None:
    with pytest.raises(Refused):
        combined(lognormal(17, 10), worth, own)
    with pytest.raises(Refused):
        lognormal(17, 0)


@settings(max_examples=40, deadline=None)
@given(CASES)
def test_curve_agrees_with_lifelines(cases: list[Case]) -> None:
    """lifelines.KaplanMeierFitter: shares, 95 % interval and median."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        days, back = zip(*cases, strict=True)
        theirs = KaplanMeierFitter().fit(days, back)
        interval = theirs.confidence_interval_
    curve = kaplan_meier(cases)
    for step in curve.steps:
        low, high = interval.loc[step.day]
        assert step.still_out.value == pytest.approx(theirs.predict(step.day), abs=1e-9)
        if step.still_out.value > 0:
            assert (step.still_out.low, step.still_out.high) == pytest.approx((low, high), abs=1e-6)
    assume(all(abs(step.still_out.value - 0.5) > 1e-6 for step in curve.steps))  # there rounding decides for lifelines
    middle = theirs.median_survival_time_
    assert curve.median()[0] == (None if math.isinf(middle) else middle)


@pytest.mark.parametrize("returns", [range(1, n + 1) for n in range(1, 12)])
def test_exact_half_is_the_median(returns: range) -> None:
    """As many stay out as came back, one by one: half are back on the day of the last return (identity)."""
    cases = [(float(day), True) for day in returns] + [(40.0, False)] * len(returns)
    assert kaplan_meier(cases).median()[0] == len(returns)


def test_open_cases_stay_in() -> None:
    """Five back by day 20 and five still out: half are back, not all."""
    cases = [(day, True) for day in (8.0, 11.0, 14.0, 17.0, 20.0)] + [(20.0, False)] * 5
    curve = kaplan_meier(cases)
    assert (curve.cases, curve.returns) == (10, 5)
    assert curve.back_by(20).value == pytest.approx(0.5)
    assert curve.back_by(20).low < 0.5 < curve.back_by(20).high
    assert curve.back_by(7).value == 0


def test_nobody_back_has_no_median() -> None:
    curve = kaplan_meier([(10, False), (20, False)])
    assert curve.median() == (None, None, None)
    assert curve.still_out(30).value == 1


@pytest.mark.parametrize("cases", [[], [(0.0, True)], [(-1.0, False)]])
def test_empty_clinic_is_refused(cases: list[Case]) -> None:
    with pytest.raises(Refused, match=r"survival\.cases"):
        kaplan_meier(cases)
