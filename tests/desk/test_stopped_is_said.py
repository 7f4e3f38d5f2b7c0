"""Who is stopped reads it plainly, and whoever stops an athlete at the desk stops them, in whatever words."""

import pytest
from play import CLINICIAN


@pytest.fixture
def trained(clinic):
    """Sam has answered this morning; nothing waits to be said."""
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.unsent("sam", CLINICIAN)
    clinic.news()
    return clinic


@pytest.fixture
def held(trained):
    """Training is stopped by a clinician's word."""
    trained.say("hold sam swelling")
    trained.unsent("sam")
    return trained


def told(clinic) -> str:
    return "\n".join(message.text for message in clinic.unsent("sam"))


STOPS = [
    "please stop sam from training", "stop sam", "sam must stop training", "stop the training of sam", "stop sam now",
    "pause sam", "halt sam", "rest sam", "sam should rest", "suspend sam from training", "take sam off training",
    "do not let sam train",
]  # fmt: skip


@pytest.mark.parametrize("line", STOPS)
def test_stopping_words_hold(trained, line):
    assert 'The act "hold" needs a reason' in trained.say(line)
    trained.say(f"{line}, swelling")
    assert "swelling" in trained.state().hold.reason.saw["note"]


def test_stop_is_no_slip_of_step(trained):
    before = trained.state().ladders
    trained.say("stop sam up slider, sore")
    assert trained.state().hold and trained.state().ladders == before


@pytest.mark.parametrize("line", ["told sam", "reset sam"])
def test_word_near_a_stop_holds_nobody(trained, line):
    trained.say(f"{line} pain limit to 3")
    assert trained.state().hold is None


def test_undone_release_stops_again(held):
    held.say("release sam seen today")
    held.say("yes")
    assert "Today:" in told(held)
    held.say("undo")
    said = told(held)
    assert "Training is stopped again" in said and "does not hold any more" in said and "swelling" in said


def test_undo_on_hold_says_the_hold(held):
    held.say("set sam's pain limit to 3")
    told(held)
    held.say("undo")
    said = told(held)
    assert "All training is stopped. Why:" in said and "stopped again" not in said


CHANGES = [
    ["open fast running for Sam", "yes"],
    ["open early running for Sam"],
    ["step up Sam slider", "yes"],
    ["set Sam's pain limit to 3"],
    ["Sam may train on mon wed fri"],
]


@pytest.mark.parametrize("lines", CHANGES, ids=[lines[0] for lines in CHANGES])
def test_change_on_hold_counts_later(held, lines):
    for line in lines:
        held.say(line)
    assert "All training is still stopped, so this counts only once training goes on." in told(held)


def test_change_off_hold_says_no_stop(trained):
    trained.say("set Sam's pain limit to 3")
    assert "stopped" not in told(trained)


def test_sign_on_hold_allows_nothing(held):
    said = held.say("what if sam pain 6 tomorrow")
    assert "far above the usual" in said and "All training is stopped." in said
    assert "Gentle movement" not in said and "stays gentle" not in said
    held.on(3)
    held.hear("sam", "6")
    assert "Gentle movement" not in told(held) + held.hear("sam", "no")


def test_link_before_a_name_is_dropped(trained):
    assert "open fast running - for Sam" in trained.say("open fast running for Sam")
