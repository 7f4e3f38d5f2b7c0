"""Signed mode: the coach proposes each rise, and nothing rises until a clinician has confirmed it."""

from season import days, evening, level, next_session, started, steps

from coachbot.core.events import Proposed


def signed():
    """A signed case after its first good session."""
    return days(started("approve slider hinge signed"), 2, 5)


def test_nothing_rises_unconfirmed():
    walk = days(signed(), 5, 25)
    assert {rung.level for rung in walk.state.ladders.values()} == {1}
    assert set(steps(walk, "run")) == {30}
    assert any(isinstance(event, Proposed) for event in walk.events)


def test_confirmed_rise_is_issued():
    walk = signed()
    walk.act("confirm slider")
    assert (level(walk, "slider"), level(walk, "hinge")) == (2, 1)


def test_refused_rise_stays():
    walk = signed()
    walk.act("refuse slider not yet")
    assert walk.state.ladders["slider"].proposed is None
    walk.act("confirm slider")
    assert level(walk, "slider") == 1


def test_going_down_needs_no_word():
    walk = signed()
    walk.act("confirm slider")
    evening(walk, next_session(walk, 5, "slider"), work="3x6", pain="5")
    assert level(walk, "slider") == 1


def test_signed_run_allows_no_faster_reps():
    walk = days(signed(), 5, 12)
    assert all(line.up_to == line.percent for issued in walk.issued for line in issued.lines if line.kind == "run")
