"""Pain that is named beside the sets counts; what lies between is asked for alone."""

import pytest
from play import Play

from coachbot.core.events import Trained


@pytest.mark.parametrize(("told", "pain"), [("3x8 pain 2", 2), ("3x8, pain was a 2", 2), ("3 sets of 8 no pain", 0)])
def test_only_the_range_is_asked_for(told, pain):
    play = Play().approved().on(3)
    play.morning("1")
    play.later(hours=9).hear("done")
    asked = play.later(minutes=1).hear(told)
    assert "full range" in asked.lower() or "all the way" in asked.lower(), asked
    play.later(minutes=1).hear("yes, full")
    first = next(event for event in play.events if isinstance(event, Trained))
    assert (first.repetitions, first.full_range, first.pain) == ((8, 8, 8), True, pain)
