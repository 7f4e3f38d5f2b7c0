"""The team sees whether an athlete can train, while the athlete's consent stands, and never anything else."""

from dataclasses import replace

import pytest
from play import CLINICIAN, Play, book

from coachbot.core.desk.board import availability, board
from coachbot.core.speak import say, speak


@pytest.fixture
def team(clinic):
    """Kim of the team, and Sam who shares."""
    clinic.add("kim", "staff")
    clinic.approved("Sam")
    return clinic.on(2)


def test_hold_shows_unavailable_only(team):
    # Also CV-47 of common privacy practice: pain 7 and a flag show as "unavailable", nothing more.
    team.morning("sam", "7")
    team.hear("sam", "my sitting bone hurts after a split")
    said = team.say("board", "kim")
    assert "Sam: unavailable." in said
    for secret in ("7", "pain", "sitting", "split", "hold", "injur", "hamstring"):
        assert secret not in said.replace("Next review", ""), secret


def test_consent_ends_and_returns(team):
    team.hear("sam", "stop sharing")
    assert "Sam" not in team.say("board", "kim")
    assert any("no longer" in text for text in team.news())
    team.hear("sam", "share again")
    assert "Sam: rehabilitation only" in team.say("board", "kim")
    assert [event.given for event in team.events() if event.kind == "consented"] == [False, True]


def test_consent_no_at_intake_hides(clinic):
    clinic.approved("Sam", consent="no")
    clinic.unsent(CLINICIAN)
    assert "Sam" not in clinic.say("board")


def test_consent_word_works_in_any_state(clinic):
    clinic.enrol("Sam")
    clinic.hear("sam", "hello")
    clinic.hear("sam", "stop sharing")
    assert clinic.state().shares is False
    clinic.hear("sam", "share again")
    assert clinic.state().shares is True


def test_team_may_see_nothing_else(team):
    for line in ("sam", "why sam", "digest", "caseload", "what if sam pain 2", "hold sam sore"):
        assert "not yours" in team.say(line, "kim")


COURSES = {
    "approved": "rehabilitation only",
    "early": "rehabilitation only",
    "building": "rehabilitation only",
    "sprinting": "modified training (no running above 80 % of top speed)",
    "testing": "modified training (no running above 80 % of top speed)",
    "returned": "full training",
}


@pytest.mark.parametrize("course", COURSES)
def test_course_shows_availability(course):
    play = Play().approved().on(2)
    play.morning("1")
    play.act("waive run 80 done in clinic")
    state = replace(play.state, course=course, sessions=())
    assert say(availability(state, book()), book().texts["en"]) == COURSES[course]


def test_unapproved_and_held_are_unavailable():
    play = Play().intake()
    assert say(availability(play.state, book()), book().texts["en"]) == "unavailable"
    play.act("approve")
    play.act("hold sore")
    assert say(availability(play.state, book()), book().texts["en"]) == "unavailable"


def test_closed_case_is_gone():
    play = Play().approved()
    assert "Sam" in speak(board([play.state], book()), book().texts["en"])
    play.act("close season over")
    assert "Sam" not in speak(board([play.state], book()), book().texts["en"])


def test_board_goes_out_at_its_hour(team):
    team.say("zone berlin")
    team.say("board at 9:30")
    team.on(2, 9.4)
    assert team.unsent("team") == []
    team.on(4, 9.6)
    sent = team.unsent("team")
    assert [message.made_at.hour for message in sent] == [8, 8, 8]  # 9:30 in Berlin is 8:30 UTC in March
    assert all("Sam: " in message.text for message in sent)
