"""Pain against the limit: 4 passes, 4.5 and 5 do not; pain-free mode is the same rule with limit 0."""

import pytest
from play import Play
from season import days, evening, level, next_session, started, steps, trained, work

from coachbot.core.events import Flagged

HICKEY = "Hickey et al. 2020, JOSPT 50(2):91-103: arms of 0 and of at most 4 on the 0-10 scale"
UNLOCK = "Hickey et al. 2022, J Sci Med Sport: Nordic, single-leg slider once the two-leg slider had its full range"


@pytest.mark.parametrize(("pain", "rises"), [("0", True), ("4", True), ("4.5", False), ("5", False)])
def test_limit_of_four_decides(pain, rises):
    assert (level(trained(pain=pain), "slider") == 2) is rises, HICKEY


@pytest.mark.parametrize(("pain", "rises"), [("0", True), ("0.5", False), ("1", False)])
def test_pain_free_mode_passes_only_zero(pain, rises):
    walk = started()
    walk.act("limit pain.limit 0 careful")
    evening(walk, 2, pain=pain).on(3)
    walk.morning()
    assert (level(walk, "slider") == 2) is rises, HICKEY


@pytest.mark.parametrize("pain", ["1", "2"])
def test_pain_free_mode_holds_the_slowest_run(pain):
    walk = started()
    walk.act("limit pain.limit 0 careful")
    days(walk, 3, 20, run=f"3 reps, 50 %, pain {pain}")
    assert set(steps(walk, "run")) == {30}


@pytest.mark.parametrize(("full", "pain", "opens"), [
    ("full range", "4", True), ("half range", "4", False), ("full range", "5", False),
])  # fmt: skip
@pytest.mark.parametrize("family", ["nordic", "slider"])
def test_full_range_unlocks_hard_lowering(family, full, pain, opens):
    walk = started(f"approve {family} hinge")
    evening(walk, 2, work="3x8", full=full, pain=pain).on(3)
    walk.morning()
    assert (level(walk, family) == 2) is opens, UNLOCK


def test_over_the_limit_goes_one_level_down():
    walk = days(started(), 2, 5)
    day = next_session(walk, 5, "slider")
    assert level(walk, "slider") == 3
    evening(walk, day, work="3x6", pain="5")
    assert level(walk, "slider") == 2


def test_first_level_halves_its_sets():
    walk = evening(started(), 2, work="3x8", pain="5")
    next_session(walk, 3, "slider")
    line = work(walk, "slider")
    assert line is not None
    assert (line.level, line.sets) == (1, 2)


def test_fewer_sets_earn_full_ones_first():
    walk = evening(started(), 2, work="3x8", pain="5")
    day = next_session(walk, 3, "slider")
    evening(walk, day)
    day = next_session(walk, day + 1, "slider")
    line = work(walk, "slider")
    assert line is not None
    assert (line.level, line.sets) == (1, 3)


def test_twice_over_the_limit_tells_the_clinician():
    walk = evening(started(), 2, work="3x8", pain="5")
    assert not walk.state.alerts
    evening(walk, next_session(walk, 3, "slider"), work="2x8", pain="5")
    assert "over-limit-twice" in {f.flag for f in walk.events if isinstance(f, Flagged)}
    assert any(alert.flag == "over-limit-twice" for alert in walk.state.alerts.values())


def test_once_within_breaks_the_row():
    walk = evening(started(), 2, work="3x8", pain="5")
    day = next_session(walk, 3, "slider")
    evening(walk, day, work="2x8", pain="2")
    day = next_session(walk, day + 1, "slider")
    evening(walk, day, work="3x8", pain="5")
    assert not walk.state.alerts


LESS = [("3x4", "full range"), ("2 of 3", "full range"), ("3x8", "half range"), ("none", "full range")]


@pytest.mark.parametrize(("work_done", "full"), LESS)
def test_less_than_asked_stays(work_done, full):
    walk = trained(work=work_done, full=full)
    assert level(walk, "slider") == 1
    assert walk.state.ladders["slider"].fewer is False


def test_pain_told_at_another_hour_spoils_the_day():
    walk = evening(started(), 2)
    walk.hear("pain")
    walk.hear("6")
    walk.on(3)
    walk.morning()
    assert level(walk, "slider") == 1


def test_later_low_score_opens_no_day():
    """Pain over the limit ends the day's training; a lower score an hour later does not open it again."""
    play = Play().approved().on(3, 7)
    play.hear("pain")
    play.hear("6")
    play.later(minutes=20)
    play.hear("pain")
    play.hear("2")
    play.on(3, 8.2)
    play.morning("2")
    assert not any(line.reported for line in play.issued[-1].lines)


def test_stop_before_check_in_means_rest():
    play = Play().approved().on(3, 7)
    play.hear("stop")
    play.hear("no")
    play.on(3, 8.2)
    said = play.morning("2")
    assert not any(line.reported for line in play.issued[-1].lines)
    assert "stopped for this day" in said
    assert "over for today" in play.hear("week")
