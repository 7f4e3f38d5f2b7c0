"""The check-in speaks of the morning only in the morning: an approval or an answer may come late in the day."""

import pytest
from play import Play

HOURS = {6: "this morning", 11: "this morning", 13: "right now", 21: "right now"}


@pytest.mark.parametrize(("hour", "moment"), HOURS.items())
def test_question_fits_the_hour(hour, moment):
    play = Play().intake()
    play.on(1, hour).act("approve")
    assert f"when you walk {moment}?" in play.hear("hello")


def test_reminder_in_the_afternoon_says_now():
    play = Play().approved().on(2, 8)
    play.on(2, 15)
    assert "when you walk right now?" in play.hear("hello")


def test_late_answers_hear_of_no_morning():
    play = Play().intake()
    play.on(3, 20).act("approve")
    said = "\n".join((play.hear("hello"), play.morning("5"), play.hear("why"), play.hear("week")))
    assert "Walking hurt 5 of 10 today" in said and "Today you told me" in said
    assert "this morning" not in said.lower()
