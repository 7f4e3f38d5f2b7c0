"""Every ladder has exactly the levels and the top dose agreed for it. Levels and doses: common practice, no source."""

import pytest

from coachbot.handbook import load

BOOK = load()

# family: group, required, levels, dose at the top (sets, lowest and highest repetitions, a side)
TABLE = {
    "slider": (
        "knee-flexor",
        True,
        ["two-leg-slider", "single-leg-slider", "loaded-single-leg-slider"],
        (3, 4, 6, True),
    ),
    "nordic": (
        "knee-flexor",
        True,
        ["two-leg-slider", "nordic-lower", "loaded-nordic-lower"],
        (3, 4, 6, False),
    ),
    "hinge": (
        "hip-extensor",
        True,
        ["single-leg-hinge", "loaded-single-leg-hinge", "romanian-deadlift"],
        (3, 6, 8, False),
    ),
    "back-extension": (
        "hip-extensor",
        True,
        ["two-leg-back-extension", "single-leg-back-extension", "loaded-single-leg-back-extension"],
        (3, 6, 8, True),
    ),
    "bridge": (
        "hip-extensor",
        True,
        ["two-leg-bridge", "two-up-one-down-bridge", "single-leg-bridge", "loaded-single-leg-bridge"],
        (3, 8, 10, True),
    ),
    "thrust": (
        "glute",
        False,
        ["hip-thrust", "single-leg-hip-thrust", "fast-single-leg-hip-thrust"],
        (3, 8, 12, True),
    ),
    "squat": (
        "quad",
        False,
        [
            "heels-raised-squat",
            "split-squat",
            "front-foot-raised-split-squat",
            "loaded-front-foot-raised-split-squat",
        ],
        (3, 8, 12, True),
    ),
    "heel-raise": (
        "calf",
        False,
        [
            "two-leg-heel-raise",
            "single-leg-heel-raise",
            "single-leg-heel-raise-off-a-step",
            "loaded-single-leg-heel-raise-off-a-step",
        ],
        (3, 8, 15, True),
    ),
    "active-knee-extension": ("mobility", False, ["active-knee-extension"], (3, 12, 12, True)),
    "active-straight-leg-raise": ("mobility", False, ["active-straight-leg-raise"], (3, 12, 12, True)),
}


def test_no_ladder_more_or_less():
    assert set(BOOK.ladders) == set(TABLE)


@pytest.mark.parametrize("family", TABLE)
def test_levels_are_as_agreed(family):
    group, required, exercises, dose = TABLE[family]
    ladder = BOOK.ladders[family]
    top = ladder.level(ladder.top)
    assert (ladder.group, ladder.required) == (group, required)
    assert [level.exercise for level in ladder.levels] == exercises
    assert (top.sets.value, top.reps_low.value, top.reps_high.value, top.each_side) == dose


@pytest.mark.parametrize("family", TABLE)
def test_loaded_levels_need_weights(family):
    for level in BOOK.ladders[family].levels:
        assert level.loaded == ("weights" in level.needs)


def test_only_mobility_stands_still():
    still = {family for family, ladder in BOOK.ladders.items() if not ladder.climbs}
    assert still == {"active-knee-extension", "active-straight-leg-raise"}
    for family in still:
        times = BOOK.ladders[family].level(1).times_a_day
        assert times is not None and times.allows(2) and times.allows(3)


def test_top_thrust_is_a_choice():
    choice = BOOK.ladders["thrust"].level(3).choice
    assert choice is not None
    assert (choice.exercise, choice.loaded, "weights" in choice.needs) == ("loaded-single-leg-hip-thrust", True, True)


def test_required_work_comes_first():
    last = max(ladder.priority for ladder in BOOK.ladders.values() if ladder.required)
    assert all(ladder.priority > last for ladder in BOOK.ladders.values() if not ladder.required)
    assert len({ladder.priority for ladder in BOOK.ladders.values()}) == len(BOOK.ladders)
