"""A limp is an answer in the first week and a sign after it; a choice of the open question raises nothing itself."""

import pytest
from play import Play

UNTIL_GAIT = ("hi", "left", "yes")


def told_gait(when: str, gait: str) -> Play:
    play = Play()
    for line in (*UNTIL_GAIT, when, "sprinting", gait):
        play.hear(line)
    return play


@pytest.mark.parametrize("gait", ["2", "with a limp", "limping", "Slightly limping."])
def test_fresh_limp_goes_on(gait):
    play = told_gait("yesterday", gait)
    assert (play.state.hold, play.state.alerts) == (None, {})
    assert play.state.talk.question == "emergency"


def test_late_limp_is_held():
    play = told_gait("8 days ago", "with a limp")
    assert [alert.flag for alert in play.state.alerts.values()] == ["limp-at-intake"]
    assert play.state.hold is not None


def test_cannot_walk_is_held():
    assert told_gait("yesterday", "3").state.hold is not None


def test_release_goes_past_the_sign():
    play = told_gait("8 days ago", "with a limp")
    play.act("release seen today, short limp only")
    assert play.state.hold is None
    assert play.state.talk.question == "emergency"
