"""Loads, estimated maxima and the two sides: what is refused, never rounded up, and never called a difference."""

import pytest
from hypothesis import assume, given, strategies as st

from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.strength import (
    DEFINITIONS,
    FORMULAS,
    barbell,
    chart_max,
    inside_noise,
    next_weight,
    one_rep_max,
    round_down,
    symmetry,
    torque,
    two_for_two,
)

WEIGHTS = st.lists(st.integers(1, 400).map(lambda n: n / 2), min_size=1, max_size=30)
DUMB_BELLS = tuple(range(2, 41, 2))


@pytest.mark.parametrize("formula", FORMULAS)
def test_many_repetitions_are_refused(formula: str, number: dict[str, float]) -> None:
    most = number["measurement.most_repetitions"]
    assert most == 12
    assert one_rep_max(50, 12, 0, most, formula) > 50
    with pytest.raises(Refused, match=r"strength\.many"):
        one_rep_max(50, 13, 0, most, formula)
    with pytest.raises(Refused, match=r"strength\.many"):
        one_rep_max(50, 10, 3, most, formula)
    with pytest.raises(Refused, match=r"strength\.many"):
        chart_max(50, 13)


@pytest.mark.parametrize("formula", FORMULAS)
def test_one_repetition_is_the_load(formula: str) -> None:
    """Epley's formula would say 3 % more than the weight just lifted."""
    assert one_rep_max(80, 1, 0, 12, formula) == 80


@given(st.sampled_from(sorted(FORMULAS)), st.floats(1, 300), st.integers(2, 11))
def test_more_repetitions_mean_more(formula: str, load: float, reps: int) -> None:
    more = one_rep_max(load, reps + 1, 0, 12, formula)
    assert load < one_rep_max(load, reps, 0, 12, formula) < more
    assert one_rep_max(load, reps, 1, 12, formula) == more


@pytest.mark.parametrize(("load", "reps", "reserve"), [(0, 5, 0), (-10, 5, 0), (50, 0, 0), (50, 5, -1)])
def test_senseless_sets_are_refused(load: float, reps: float, reserve: float) -> None:
    with pytest.raises(Refused):
        one_rep_max(load, reps, reserve, 12)


@given(st.floats(0.5, 200), WEIGHTS)
def test_rounding_never_goes_up(load: float, weights: list[float]) -> None:
    assume(min(weights) <= load)
    chosen = round_down(load, weights)
    assert chosen in weights
    assert chosen <= load + 1e-6
    assert not [weight for weight in weights if chosen < weight <= load]


def test_all_too_heavy_is_refused() -> None:
    with pytest.raises(Refused, match=r"strength\.weights"):
        round_down(3, (4, 6))


@given(st.floats(1, 200), WEIGHTS)
def test_next_weight_keeps_the_limit(load: float, weights: list[float]) -> None:
    """2.5 to 10 %, rounded to what the athlete has."""
    chosen = next_weight(load, weights, 0.025, 0.1)
    reachable = [weight for weight in weights if load + 1e-6 < weight <= load * 1.1]
    if chosen is None:
        assert not reachable
    else:
        assert chosen in weights
        assert load < chosen <= load * 1.1 + 1e-6


@pytest.mark.parametrize(("load", "chosen"), [(20, 22), (38, 40), (40, None), (6, None), (18, None), (21, 22)])
def test_dumb_bells_step_up(load: float, chosen: float | None) -> None:
    """A step of 2 kg is 33 % at 6 kg: no heavier one is in reach, so repetitions are added (identity)."""
    assert next_weight(load, DUMB_BELLS, 0.025, 0.1) == chosen


def test_smallest_full_step_wins() -> None:
    assert next_weight(100, (101, 102, 103, 105, 109), 0.025, 0.1) == 103
    assert next_weight(100, (101, 102), 0.025, 0.1) == 102


def test_barbell_makes_every_weight() -> None:
    assert barbell(20, (2.5, 1.25)) == (20, 22.5, 25, 27.5)


@pytest.mark.parametrize(
    ("sets", "rises"), [((12, 12), True), ((12,), False), ((), False), ((12, 12, 11), False), ((8, 13, 12), True)]
)
def test_two_sessions_running_count(sets: tuple[int, ...], rises: bool) -> None:
    """Goal 10, two more in the last set of two sessions running: rule of Baechle & Earle, second-hand."""
    assert two_for_two(sets, 10, 2, 2) is rises


@given(st.floats(1, 500))
def test_equal_sides_are_symmetric(value: float) -> None:
    for definition in DEFINITIONS:
        even = 100 if definition == "injured/uninjured" else 0
        assert symmetry(value, value, definition).percent == pytest.approx(even, abs=1e-9)


def test_symmetry_names_its_definition() -> None:
    """85 against 100 is 5 to 85 % by five definitions (Bishop et al. 2016, list from memory): the name goes with it."""
    found = {symmetry(85, 100, definition) for definition in DEFINITIONS}
    assert {one.definition for one in found} == set(DEFINITIONS)
    assert len({round(one.percent, 1) for one in found}) == len(DEFINITIONS)


@pytest.mark.parametrize(("one", "other", "noise"), [(60, 51, True), (60, 45.1, True), (45, 60, False)])
def test_difference_must_leave_noise(one: float, other: float, noise: bool, number: dict[str, float]) -> None:
    """15 degrees between two testers: Reurink et al. 2013, doi 10.1177/0363546513490650."""
    assert inside_noise(one, other, number["measurement.knee_extension_two_testers"]) is noise


def test_strength_gap_is_often_noise(number: dict[str, float]) -> None:
    """85 N against 100 N lies inside 29 % of the larger (Lee et al. 2020, doi 10.5535/arm.20056, front of the
    thigh)."""
    assert inside_noise(85, 100, number["measurement.strength_two_testers"] / 100 * 100)


@pytest.mark.parametrize(("injured", "sound"), [(10, 0), (-1, 10), (10, -1)])
def test_senseless_sides_are_refused(injured: float, sound: float) -> None:
    with pytest.raises(Refused, match=r"strength\.sides"):
        symmetry(injured, sound)


def test_lever_arm_matters() -> None:
    """2 cm of .38 m are 5 % of the torque (identity)."""
    assert torque(250, 0.40, 75) / torque(250, 0.38, 75) == pytest.approx(1.053, abs=1e-3)
    with pytest.raises(Refused):
        torque(250, 0, 75)
