"""A review date is always set; the examination of day 7 is asked for; what is overdue stands in the digest."""

from datetime import date, timedelta

from play import INJURED, Play, book

from coachbot.core.desk.digest import digest
from coachbot.core.speak import speak


def told(play: Play) -> str:
    return play.told("clinicians")


def test_approval_sets_day_seven():
    # About day 7 an examination tells most (Jacobsen 2016).
    play = Play().approved()
    assert play.state.review == INJURED + timedelta(days=7)


def test_late_approval_sets_a_week():
    play = Play().intake()
    play.now += timedelta(days=10)
    play.act("approve")
    assert play.state.review == INJURED + timedelta(days=17)


def test_day_seven_is_asked_for_once():
    play = Play().approved()
    asked = []
    for day in range(1, 11):
        play.on(day, 7.9)
        before = len(play.steps)
        play.on(day, 9)
        play.morning("1")
        said = [line for done in play.steps[before:] for e in done.effects if e.to == "clinicians" for line in e.lines]
        asked += [day for word in said if word.key == "clinician.exam_due"]
    assert asked == [7]


def test_early_riser_is_examined_too():
    # The athlete answers before the hour of the check-in every day: the clinicians are still asked.
    play = Play().approved()
    keys = []
    for day in range(1, 9):
        play.on(day, 7)
        play.morning("1")
        before = len(play.steps)
        play.on(day, 12)
        keys += [w.key for done in play.steps[before:] for e in done.effects if e.to == "clinicians" for w in e.lines]
    assert keys.count("clinician.exam_due") == 1


def test_examined_sets_the_next():
    play = Play().approved().on(7, 10)
    play.act("examined, limp gone")
    assert play.state.review == INJURED + timedelta(days=14)
    play.act("examined, fine, next review in 3 days")
    assert play.state.review == INJURED + timedelta(days=10)
    play.act("review 20 march strength test")
    assert (play.state.review, play.state.review_note) == (date(2026, 3, 20), "strength test")


def test_second_review_is_asked_for():
    play = Play().approved().on(7, 10)
    play.act("examined, limp gone")
    play.on(14, 7)
    before = len(play.steps)
    play.on(14, 12)
    keys = [w.key for done in play.steps[before:] for e in done.effects if e.to == "clinicians" for w in e.lines]
    assert "clinician.review_due" in keys


def test_past_day_is_no_review():
    play = Play().approved().on(3)
    play.act("review")
    assert play.kinds() == ["acted"]
    play.act("review 3 march")  # gone by: the coming one is meant
    assert play.state.review == date(2027, 3, 3)


def test_overdue_review_is_in_the_digest():
    play = Play().approved()
    for day, there in ((6, False), (7, True), (12, True)):
        play.on(day, 10)
        said = speak(digest([play.state], play.now, "Europe/Berlin", book()), book().texts["en"])
        assert ("To examine: Sam" in said) is there


def test_review_always_set():
    play = Play().approved()
    for line in ("examined fine", "hold sore", "release seen", "hand to dr-two", "limit pain.limit 3 x"):
        play.act(line)
        assert play.state.review is not None
