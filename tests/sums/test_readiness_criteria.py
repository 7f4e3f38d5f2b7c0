"""Readiness items and the two sides of a leg: which numbers a criterion accepts, and that noise is shown beside it."""

import pytest
from hypothesis import given, strategies as st

from coachbot.core.sums.readiness import confidence, sides
from coachbot.core.sums.refusal import Refused

TENS = st.integers(0, 10).map(lambda n: n * 10)


@given(st.lists(TENS, min_size=6, max_size=6))
def test_confidence_is_a_tenth_of_the_sum(items: list[int]) -> None:
    """Glazer 2009: six items of 0 to 100 in tens, sum / 10, so 0 to 60 (from memory)."""
    assert confidence(items) == sum(items) / 10
    assert 0 <= confidence(items) <= 60


@pytest.mark.parametrize("items", [[80] * 5, [80] * 7, [], [80] * 5 + [85], [80] * 5 + [110], [80] * 5 + [-10]])
def test_other_items_are_refused(items: list[float]) -> None:
    with pytest.raises(Refused):
        confidence(items)


def test_soft_criterion_stands_at_fifty(number: dict[str, float]) -> None:
    criterion = number["measurement.readiness_soft_criterion"]
    assert confidence([80] * 6) < criterion <= confidence([80, 80, 80, 80, 90, 90])


@pytest.mark.parametrize(("injured", "reached"), [(66, False), (67.4, False), (67.5, True), (75, True), (80, True)])
def test_range_gate_stands_at_ninety(injured: float, reached: bool, number: dict[str, float]) -> None:
    assert sides(injured, 75, number["measurement.range_least"], None).reached is reached


@given(st.integers(1, 2000))
def test_rounding_closes_no_gate(tenths: int) -> None:
    """Exactly 90 % passes, whatever the binary fractions make of it."""
    assert sides(tenths * 0.09, tenths * 0.1, 90, None).reached


def test_noise_never_opens_a_gate(number: dict[str, float]) -> None:
    """66 against 75 degrees is 88 %: inside the 15 degrees of two testers, and still under the criterion."""
    found = sides(66, 75, 90, number["measurement.knee_extension_two_testers"])
    assert found.noise is True
    assert not found.reached


def test_unknown_noise_is_not_none_at_all() -> None:
    assert sides(66, 75, 90, None).noise is None
    assert sides(66, 75, 90, 5).noise is False
