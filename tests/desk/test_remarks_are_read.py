"""What an athlete writes while nothing is asked is kept for the clinician; a score in it is asked for, not assumed."""

import pytest
from play import INTAKE


@pytest.fixture
def rested(clinic):
    """Sam has trained and told it; the day is over."""
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    clinic.on(2, 18)
    for words in ("done", "3x6 full 1", "3x8 full 1", "no", "5, 40 min"):
        clinic.hear("sam", words)
    assert clinic.state().session.done_at is not None
    return clinic


def test_words_stand_in_the_case(rested):
    said = rested.hear("sam", "the stairs felt good after all")
    assert "Your clinician can read what you wrote, but maybe not today." in said
    assert 'Wrote besides: Wednesday 4 March: "the stairs felt good after all"' in rested.say("sam")


def test_digest_tells_the_last_ones(rested):
    rested.hear("sam", "the stairs felt good after all")
    rested.hear("sam", "bought sliders of my own for the kitchen floor at the market on the way home from work")
    line = next(line for line in rested.say("digest").splitlines() if line.startswith("Sam - "))
    assert line.endswith('"bought sliders of my own for the kitchen floor at the market…"') and "stairs" not in line
    rested.on(4)
    assert "wrote" not in rested.say("digest")


def test_score_is_asked_for(rested):
    said = rested.hear("sam", "the leg feels like a 6 tonight")
    assert said.startswith("Stop for a moment.")
    assert "pain_now" not in rested.state().answers
    rested.hear("sam", "6")
    rested.on(3).morning("sam", "1")
    assert rested.state().ladders["slider"].level == 1  # 6 is over the limit of 4, so the session does not count
    assert "feels like a 6" in rested.say("sam")


@pytest.mark.parametrize("words", ["Thanks!", "ok", "👍", "help", "can I play?"])
def test_nothing_is_kept_of(rested, words):
    rested.hear("sam", words)
    assert rested.state().remarks == ()
    assert "Wrote besides" not in rested.say("sam")


def test_words_that_begin_the_day_are_kept(rested):
    rested.on(3, 6)
    assert "hurt when you walk" in rested.hear("sam", "slept well and stairs are easy")
    assert "stairs are easy" in rested.say("sam")


def test_words_a_question_could_not_use_are_kept(rested):
    rested.on(3, 6)
    rested.hear("sam", "hello")
    assert "hurt when you walk" in rested.hear("sam", "we had a friendly match out there")
    assert "friendly match" in rested.say("sam")


def test_words_before_approval_are_kept(clinic):
    clinic.screened("Sam")
    assert "Your clinician is still looking" in clinic.hear("sam", "I can borrow a bench from my club")
    assert "borrow a bench" in clinic.say("sam")


def test_answers_are_no_remarks(clinic):
    case = clinic.enrol()
    clinic.hear(case, "hello")
    for words in INTAKE.values():
        clinic.hear(case, words)
    assert clinic.state(case).remarks == ()


def test_report_without_done_asks_no_pain(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    assert "Stop for a moment" not in clinic.hear("sam", "3 x 8, full, 1")
    assert "3 x 8, full, 1" in clinic.say("sam")
