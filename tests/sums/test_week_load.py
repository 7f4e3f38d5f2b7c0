"""A week's load: sums and spread against the library of Python, gaps that stay gaps, and no ratio anywhere."""

from statistics import mean, pstdev, stdev

import pytest
from hypothesis import given, strategies as st

from coachbot.core.sums import load
from coachbot.core.sums.load import change, session_load, week, weekly_change
from coachbot.core.sums.refusal import Refused

LOADS = st.lists(st.integers(0, 1500).map(float), min_size=7, max_size=7)


@given(LOADS)
def test_spread_uses_n_minus_one(loads: list[float]) -> None:
    """mean / statistics.stdev; the population form gives another number."""
    found = week(loads)
    if stdev(loads) == 0:
        assert found.monotony is None and found.strain is None
    else:
        assert found.monotony == pytest.approx(mean(loads) / stdev(loads))
        assert found.monotony < mean(loads) / pstdev(loads) or not any(loads)
        assert found.strain == pytest.approx(sum(loads) * mean(loads) / stdev(loads))


@pytest.mark.parametrize("loads", [[0.0] * 7, [300.0] * 7])
def test_flat_week_has_no_monotony(loads: list[float]) -> None:
    found = week(loads)
    assert (found.total, found.monotony, found.strain) == (sum(loads), None, None)


def test_missing_day_is_no_rest_day() -> None:
    gap, rest = week([300, None, 200, 100, 0, 400, 0]), week([300, 0, 200, 100, 0, 400, 0])
    assert (gap.total, gap.answered, gap.whole, gap.monotony) == (1000, 6, False, None)
    assert rest.whole and rest.monotony is not None


def test_change_needs_whole_weeks() -> None:
    light, heavy, gap = week([100] * 6 + [90]), week([200] * 6 + [180]), week([100] * 6 + [None])
    assert weekly_change(heavy, light) == pytest.approx(1)
    assert weekly_change(light, heavy) == pytest.approx(-0.5)
    assert weekly_change(heavy, gap) is None
    assert weekly_change(gap, light) is None


def test_change_from_nothing_is_undefined() -> None:
    assert change(500, 0) is None
    assert change(0, 500) == -1


@pytest.mark.parametrize(("effort", "minutes"), [(11, 30), (-1, 30), (5, -1), (float("nan"), 30)])
def test_senseless_sessions_are_refused(effort: float, minutes: float) -> None:
    with pytest.raises(Refused):
        session_load(effort, minutes, 10)


def test_negative_day_is_refused() -> None:
    with pytest.raises(Refused, match=r"load\.negative"):
        week([100, -1])


def test_no_ratio_is_offered() -> None:
    """Lolli et al. 2019 and Impellizzeri et al. 2021: recent against usual load is not computed."""
    names = {name.lower() for name in dir(load) if not name.startswith("_")}
    assert not [name for name in names if any(word in name for word in ("ratio", "chronic", "acute", "ewma"))]
