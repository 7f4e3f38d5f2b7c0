"""What an athlete writes on hold reaches the clinicians: first lines at once, later ones together, signs at once."""

import pytest
from play import CLINICIAN

from coachbot.core.events import PassedOn

EVERY = 15  # min, desk.gather_every


@pytest.fixture
def held(clinic):
    """Sam is on hold by a clinician's word; nothing waits to be said."""
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.say("hold sam swelling")
    clinic.news()
    return clinic


def test_first_line_goes_at_once(held):
    assert "passed that on" in held.hear("sam", "ok, I rest")
    assert held.news() == ['Sam has written while training is on hold: "ok, I rest"']


def test_later_lines_go_together(held):
    held.hear("sam", "ok, I rest")
    held.news()
    assert f"within {EVERY} minutes" in held.later(minutes=1).hear("sam", "and thanks")
    held.later(minutes=1).hear("sam", "see you on friday")
    assert held.news() == []
    held.tick(held.now.replace(minute=held.now.minute + EVERY - 2))
    assert held.news() == ['Sam has written while training is on hold: "and thanks", "see you on friday"']
    assert held.coach.next_wake() is None or held.state().waiting == ()


def test_line_after_a_pause_goes_at_once(held):
    held.hear("sam", "ok, I rest")
    held.news()
    held.later(minutes=EVERY).hear("sam", "and thanks")
    assert held.news() == ['Sam has written while training is on hold: "and thanks"']


def test_sign_never_waits(held):
    held.hear("sam", "ok, I rest")
    held.news()
    held.later(minutes=1).hear("sam", "and thanks")
    held.hear("sam", "now I have chest pain")
    assert any("EMERGENCY" in message.text for message in held.unsent(CLINICIAN))


def test_unsure_words_never_wait(held):
    held.hear("sam", "ok, I rest")
    held.hear("sam", "and thanks")
    held.news()
    held.hear("sam", "my thigh feels all blorpy")
    assert held.news() == ['Sam has written while training is on hold: "and thanks", "my thigh feels all blorpy"']


@pytest.mark.parametrize("lines", [["release sam seen today", "yes"], ["close sam season over", "yes"]])
def test_end_of_the_hold_passes_all_on(held, lines):
    held.hear("sam", "ok, I rest")
    held.hear("sam", "and thanks")
    held.news()
    for line in lines:
        held.say(line)
    assert held.news() == ['Sam has written while training is on hold: "and thanks"']
    assert held.state().waiting == ()


def test_next_hold_begins_anew(held):
    held.hear("sam", "ok, I rest")
    held.say("release sam seen today")
    held.say("yes")
    held.say("hold sam swelling again")
    held.news()
    held.hear("sam", "oh dear")
    assert held.news() == ['Sam has written while training is on hold: "oh dear"']


def test_waiting_words_survive_a_restart(held):
    held.hear("sam", "ok, I rest")
    held.hear("sam", "and thanks")
    held.news()
    held.open()
    held.tick(held.coach.next_wake())
    assert held.news() == ['Sam has written while training is on hold: "and thanks"']
    assert sum(isinstance(event, PassedOn) for event in held.events()) == 2


# ---- a question about unsure words that a clinician's hold comes upon ----


@pytest.fixture
def doubted(clinic):
    """Sam was asked about unsure words after the morning, and a clinician stops training before the answer."""
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.hear("sam", "my thigh feels all blorpy")
    assert clinic.state().talk.dialog == "doubt"
    clinic.news()
    clinic.say("hold sam swelling")
    return clinic


def release(clinic) -> str:
    clinic.say("release sam seen today")
    clinic.say("yes")
    return "\n".join(message.text for message in clinic.unsent("sam"))


def test_clinician_is_told_of_the_open_question(doubted):
    assert any("blorpy" in said and "had not answered" in said for said in doubted.news())


def test_question_comes_again_after_release(doubted):
    said = release(doubted)
    assert "blorpy" in said and "yes or no" in said and "Today:" not in said
    assert "Today:" in doubted.hear("sam", "no")
    assert doubted.state().shelved == ""


def test_yes_after_release_holds_again(doubted):
    release(doubted)
    assert "stop all training" in doubted.hear("sam", "yes")
    assert doubted.state().hold and doubted.state().shelved == ""


def test_silence_after_release_holds_again(doubted):
    release(doubted)
    doubted.tick(doubted.coach.next_wake())
    assert doubted.state().hold.reason.rule == "flag.unclear-answer"


def test_second_hold_keeps_the_question(doubted):
    doubted.say("hold sam still swollen")
    assert "blorpy" in release(doubted)


def test_settled_question_is_not_asked_again(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.hear("sam", "my thigh feels all blorpy")
    clinic.hear("sam", "no")
    clinic.say("hold sam swelling")
    assert "blorpy" not in release(clinic)


def test_undone_hold_leaves_the_question_open(doubted):
    doubted.say("undo sam")
    assert doubted.state().talk.dialog == "doubt" and doubted.state().shelved == ""
