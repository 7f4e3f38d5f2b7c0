"""An alert that is settled rings nobody again, and who has one already is told so."""

import pytest
from clinic import OTHER


@pytest.fixture
def alarmed(clinic):
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam")
    clinic.hear("sam", "felt a pop on the second rep")
    clinic.unsent("dr-lee", OTHER)
    return clinic


def test_released_alert_is_not_passed(alarmed):
    alarmed.say("acknowledge sam", OTHER)
    alarmed.say("release sam seen today", OTHER)
    alarmed.say("yes", OTHER)
    said = alarmed.say(f"pass sam to {OTHER}")
    assert said.startswith(f"Nothing was sent to {OTHER}: Sam has no open alert.")
    assert alarmed.unsent(OTHER) == [] and "alert-passed" not in alarmed.kinds()


@pytest.mark.parametrize("line", ["take over sam", "acknowledge sam", "take over sam sam-a1"])
def test_released_alert_cannot_be_taken(alarmed, line):
    alarmed.say("acknowledge sam")
    alarmed.say("release sam seen today")
    alarmed.say("yes")
    alarmed.unsent("sam")
    assert alarmed.say(line, OTHER) == "Sam has no open alert."
    assert alarmed.kinds().count("acknowledged") == 1
    assert alarmed.unsent("sam") == []


def test_alert_without_a_hold_can_be_taken_over(clinic):
    clinic.approved("Sam")
    for day, score in ((2, "1"), (3, "1"), (4, "4")):  # 3 points over the usual: a message that holds nothing
        clinic.on(day).morning("sam", score)
    assert clinic.state().hold is None
    clinic.say("acknowledge sam")
    assert clinic.say("take over sam", OTHER).startswith("1 alert of Sam is yours now.")


def test_alert_of_a_standing_hold_is_taken_over(alarmed):
    alarmed.say("acknowledge sam")
    assert "1 alert of Sam is yours now." in alarmed.say("take over sam", OTHER)


def test_colleague_who_has_it_is_not_rung(alarmed):
    alarmed.say("acknowledge sam", OTHER)
    assert alarmed.say(f"pass sam to {OTHER}") == f"Nothing was sent: {OTHER} already has the alert of Sam."
    assert alarmed.unsent(OTHER) == []


def test_alert_of_a_hold_is_passed(alarmed):
    alarmed.say("acknowledge sam")
    alarmed.say(f"pass sam to {OTHER}")
    assert "SAME DAY" in alarmed.unsent(OTHER)[0].text


def test_own_alert_is_yours_already(alarmed):
    alarmed.say("acknowledge sam")
    assert alarmed.say("acknowledge sam") == "You already have the alert of Sam."
    assert "To take it yourself: take over Sam" in alarmed.say("acknowledge sam", OTHER)


def test_limits_show_those_in_force(alarmed):
    alarmed.say("set sam's pain limit to 3, careful start")
    before = alarmed.kinds().count("limited")
    said = alarmed.say("limits sam")
    assert "pain.limit: 3 (0-10), set for this athlete; the programme says 4" in said
    assert "running.per_week: " in said and "as in the programme" in said
    assert alarmed.kinds().count("limited") == before
