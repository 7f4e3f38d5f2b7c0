"""A weighty act is repeated back and waits for "yes"; an act can be taken back until something followed; none twice."""

import pytest
from clinic import OTHER
from play import CLINICIAN

from coachbot.core.desk.acts import ACTS
from coachbot.core.events import Released

WEIGHTY = {"open-fast", "release", "waive", "up", "sign", "close"}


@pytest.fixture
def held(clinic):
    """Sam is on hold since this morning."""
    clinic.approved("Sam")
    clinic.on(2)
    clinic.morning("sam", "1")
    clinic.hear("sam", "I felt a sharp pop")
    clinic.say("acknowledge sam")
    return clinic


def test_weighty_acts_are_these():
    assert {act for act, deed in ACTS.items() if deed.weighty} == WEIGHTY


def test_release_waits_for_yes(held):
    said = held.say("release sam seen today, tender only")
    assert "Sam" in said and "on hold" in said and "seen today, tender only" in said and "yes" in said
    assert held.state().hold is not None
    held.say("yes")
    assert held.state().hold is None
    released = next(event for event in held.events() if isinstance(event, Released))
    assert (released.by, released.note, released.at) == (CLINICIAN, "seen today, tender only", held.now)


@pytest.mark.parametrize("word", ["no", "leave it", "note sam called", "digest", "sam", "maybe"])
def test_anything_else_leaves_it(held, word):
    held.say("release sam seen today")
    held.say(word)
    assert held.state().hold is not None
    held.say("yes")
    assert held.state().hold is not None


def test_yes_of_another_does_nothing(held):
    held.say("release sam seen today")
    held.say("yes", OTHER)
    assert held.state().hold is not None


def test_pending_act_survives_restart(held):
    held.say("release sam seen today")
    held.coach.journal.close()
    held.open()
    held.say("yes")
    assert held.state().hold is None


def test_yes_twice_acts_once(held):
    held.say("release sam seen today")
    held.say("yes")
    held.say("yes")
    assert held.kinds().count("released") == 1


def test_crash_between_case_and_desk_acts_once(held, monkeypatch):
    held.say("release sam seen today")
    monkeypatch.setattr(held.coach.desks, "_note", lambda *args: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        held.say("yes")
    held.coach.journal.close()
    held.open()
    held.say("yes")
    assert held.kinds().count("released") == 1


def test_same_message_is_carried_out_once(clinic):
    clinic.approved("Sam")
    for _ in range(2):
        clinic.coach.say(CLINICIAN, "note sam called", clinic.now, message="m1")
    assert clinic.kinds().count("noted") == 1


def test_act_without_effect_asks_no_yes(clinic):
    clinic.approved("Sam")
    assert "not on hold" in clinic.say("release sam seen")
    assert clinic.state().intended == {}


def test_undo_without_a_name_is_the_last(clinic):
    clinic.approved("Sam")
    clinic.approved("Maria")
    clinic.say("set sam's pain limit to 3 careful")
    clinic.say("undo")
    assert clinic.state("sam").limits == {}
    assert clinic.kinds("sam")[-2:] == ["acted", "undone"]


@pytest.mark.parametrize("after", ["hello", "clock"])
def test_undo_ends_when_something_follows(clinic, after):
    clinic.approved("Sam")
    clinic.say("set sam's pain limit to 3 careful")
    if after == "hello":
        clinic.hear("sam", "hello")
    else:
        clinic.on(1, 9)
    assert "nothing to take back" in clinic.say("undo sam")
    assert clinic.state().limits == {"pain.limit": 3}


def test_hold_that_cannot_be_undone_says_release(clinic):
    clinic.approved("Sam")
    clinic.say("hold sam new swelling")
    clinic.hear("sam", "ok")
    said = clinic.say("undo sam")
    assert "nothing to take back" in said and "release Sam seen today, tender only" in said
    assert clinic.state().hold is not None


def test_who_may_not_release_is_not_told(clinic):
    clinic.add("boss", "owner")
    clinic.approved("Sam")
    clinic.say("hold sam new swelling")
    clinic.hear("sam", "ok")
    said = clinic.say("undo sam", "boss")
    assert "nothing to take back" in said and "release" not in said and "hold" not in said


def test_undo_is_for_ones_own_act(clinic):
    clinic.approved("Sam")
    clinic.say("hold sam sore")
    assert CLINICIAN in clinic.say("undo sam", OTHER)
    assert clinic.state().hold is not None


def test_undone_release_holds_again(held):
    held.say("release sam seen today")
    held.say("yes")
    held.say("undo")
    assert held.state().hold is not None
    assert "stopped" in held.hear("sam", "hello")


def test_erased_case_leaves_no_bytes(clinic):
    clinic.approved("Quentin Zebrowski")
    clinic.say("note quentin called")
    clinic.say("zone berlin")
    assert "yes" in clinic.say("erase quentin")
    clinic.say("yes")
    assert clinic.coach.cases() == []
    assert clinic.coach.desks.desk(CLINICIAN).zone == "Europe/Berlin"
    clinic.coach.journal.close()
    left = b"".join(path.read_bytes() for path in clinic.path.parent.glob("clinic.sqlite*"))
    clinic.open()
    assert b"uentin" not in left and b"Zebrowski" not in left
