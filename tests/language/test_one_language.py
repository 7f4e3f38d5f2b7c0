"""While one language is offered nobody is asked for it, and whoever wants another is told so kindly."""

import pytest
from clinic import Clinic


@pytest.fixture
def clinic(tmp_path):
    """An empty clinic with the shipped languages."""
    clinic = Clinic(tmp_path)
    yield clinic
    clinic.coach.journal.close()


def test_intake_does_not_ask(clinic):
    clinic.enrol()
    assert "Which leg is hurt" in clinic.hear("sam", "hello")


def test_athlete_is_told_kindly(clinic):
    clinic.approved()
    said = clinic.hear("sam", "language")
    assert "I speak English only" in said and "sorry" in said
    assert (clinic.state().language, clinic.state().talk.topic) == ("en", "idle")


def test_desk_is_told_kindly(clinic):
    assert "speaks English only" in clinic.say("language deutsch")


def test_help_lists_the_word(clinic):
    clinic.approved()
    assert "language" in clinic.hear("sam", "help")
