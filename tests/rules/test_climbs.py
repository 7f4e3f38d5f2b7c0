"""Every ladder and every running stage is walked to its top by answers alone, one allowed step a time."""

import pytest
from season import days, evening, level, next_session, runs, started, steps

from coachbot.core.events import Topped

BOOK = started().book
CLIMBING = [family for family, ladder in BOOK.ladders.items() if ladder.climbs]
LONG = 45


def beside(family: str) -> str:
    """An approval with this family, and a family of each required group it does not cover."""
    group = BOOK.ladders[family].group
    needed = {"knee-flexor": "slider", "hip-extensor": "hinge"}
    return " ".join(["approve", family, *(f for g, f in needed.items() if g != group)])


@pytest.mark.parametrize("family", CLIMBING)
def test_ladder_is_walked_to_its_top(family):
    walk = started(beside(family))
    days(walk, 2, LONG)
    walked = list(dict.fromkeys(steps(walk, family)))
    assert walked == [float(n) for n in range(1, BOOK.ladders[family].top + 1)]


@pytest.mark.parametrize("family", CLIMBING)
def test_required_equipment_is_enough(family):
    needs = {need for one in BOOK.ladders[family].levels for need in one.needs}
    words = ", ".join(need.replace("-", " ") for need in sorted(needs)) or "none"
    walk = days(started(beside(family), equipment=words), 2, LONG)
    assert level(walk, family) == BOOK.ladders[family].top


def test_running_is_walked_to_full_speed():
    walk = started()
    walk.act("open fast strong in clinic")
    days(walk, 2, LONG)
    issued = list(dict.fromkeys(line.percent for _, line in runs(walk)))
    assert issued[-5:] == [80, 85, 90, 95, 100]
    assert {line.stage for _, line in runs(walk)} == {1, 2, 3}


def test_smallest_steps_walk_every_speed():
    walk = started("approve slider hinge signed")
    walk.act("open fast strong in clinic")
    for day in range(2, 2 * LONG):
        days(walk, day, day + 1)
        walk.act("confirm")
    assert steps(walk, "run") == [30, 40, 50, 60, 70, 80, 85, 90, 95, 100]


def test_stages_one_and_two_rise_two_steps_at_most():
    walk = days(started(), 2, 30, run="3 reps, 80 %, pain 0")
    speeds = list(dict.fromkeys(steps(walk, "run")))
    assert speeds == [30, 50, 60, 80]


def test_smaller_steps_still_rise_two_at_most():
    walk = started()
    walk.act("limit stages.1.step 5 careful")
    days(walk, 2, 20, run="3 reps, 50 %, pain 0")
    assert [(line.percent, line.up_to) for _, line in runs(walk)][:3] == [(30, 40), (40, 50), (50, 50)]
    assert steps(walk, "run")[:3] == [30, 40, 50]


def test_full_speed_on_two_days_leads_to_testing():
    walk = started()
    walk.act("open fast strong in clinic")
    courses = []
    for day in range(2, LONG):
        days(walk, day, day + 1)
        courses.append((walk.state.course, len({t.day for t in walk.events if isinstance(t, Topped)})))
    assert ("testing", 0) not in courses
    assert ("testing", 1) not in courses
    assert ("sprinting", 1) in courses
    assert courses[-1][0] == "testing"


def test_full_speed_with_pain_is_not_shown():
    walk = started()
    walk.act("open fast strong in clinic")
    walk.act("waive run 95 ran in clinic")
    days(walk, 2, 30, run="3 reps, 100 %, pain 1")
    assert not any(isinstance(event, Topped) for event in walk.events)
    assert walk.state.course in ("building", "sprinting")


def test_fast_waits_for_the_word_and_then_goes_on():
    walk = days(started(), 2, 25)
    assert steps(walk, "run")[-1] == 80
    assert walk.state.course == "building"
    walk.act("open fast strong in clinic")
    assert steps(walk, "run")[-1] == 85
    assert walk.state.course == "sprinting"


@pytest.mark.parametrize(("pain", "down"), [("0", False), ("1", False), ("2", True)])
def test_fast_pain_goes_two_steps_down(pain, down):
    walk = days(started(), 2, 25)
    walk.act("open fast strong in clinic")
    walk.act("waive run 95 ran in clinic")
    day = next_session(walk, 25, "run")
    evening(walk, day, run=f"3 reps, 95 %, pain {pain}")
    assert (walk.state.run.level == 85) is down
    next_session(walk, day + 1, "run")
    assert walk.state.run.level == (85 if down else 100 if pain == "0" else 95)


def test_pain_over_the_limit_waits_a_day():
    walk = days(started(), 2, 6)
    day = next_session(walk, 6, "run")
    evening(walk, day, run="3 reps, 50 %, pain 5")
    later = next_session(walk, day + 1, "run")
    assert later - day >= 2


@pytest.mark.parametrize("reps", ["2 reps, 50 %, pain 0", "1 rep, 40 %, pain 0"])
def test_incomplete_run_stays(reps):
    walk = days(started(), 2, 20, run=reps)
    assert set(steps(walk, "run")) == {30}
