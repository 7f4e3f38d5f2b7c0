"""Gaps: over 7 days the same level with fewer sets, over 14 days one level down."""

import pytest
from season import evening, level, next_session, started, work

PRESLAND = "Presland et al. 2018, SJMSS 28:1775-1783: the fascicle gain was gone two weeks after stopping"


def risen(last: int = 2):
    """A case whose slider rose to level 2 on the morning after its last session."""
    walk = evening(started(), last)
    walk.on(last + 1)
    walk.morning()
    assert level(walk, "slider") == 2
    return walk


def away(walk, until: int):
    """Nothing is heard; then the check-ins begin again, and the first strength session comes."""
    walk.on(until)
    day = next_session(walk, until, "slider")
    line = work(walk, "slider")
    assert line is not None
    return day, line


def test_week_keeps_the_sets():
    _, line = away(risen(), 9)
    assert (line.level, line.sets) == (2, 3)


@pytest.mark.parametrize("until", [10, 12, 16])
def test_over_a_week_takes_sets(until):
    day, line = away(risen(), until)
    assert 7 < day - 2 <= 14
    assert (line.level, line.sets) == (2, 2)


@pytest.mark.parametrize("until", [17, 23, 40])
def test_over_two_weeks_takes_a_level(until):
    day, line = away(risen(), until)
    assert day - 2 > 14
    assert line.level == 1, PRESLAND


def test_fifteen_days_drop_one_rung():
    day, line = away(risen(), 17)
    assert day - 2 == 15
    assert line.level == 1, PRESLAND


def test_gap_takes_one_level_only():
    walk = risen()
    day, line = away(walk, 20)
    assert line.level == 1
    _, again = away(walk, day + 3)
    assert (again.level, level(walk, "slider")) == (1, 1)


def test_longer_gap_after_fewer_sets():
    walk = risen()
    day, line = away(walk, 11)
    assert (line.level, line.sets) == (2, 2)
    _, later = away(walk, day + 10)
    assert later.level == 1


def test_level_set_by_hand_begins_anew():
    walk = risen()
    walk.on(20)
    walk.act("waive slider 2 tested in clinic")
    _, line = away(walk, 20)
    assert (line.level, line.sets) == (2, 3)
