"""The question why is answered for every decision of every written conversation, on the day it was taken."""

from functools import cache
from pathlib import Path

import pytest
from play import INTAKE, book

from coachbot.channels.replay import play
from coachbot.channels.script import read
from coachbot.coach import Coach
from coachbot.core.days import local_day
from coachbot.core.reasons import causes
from coachbot.core.speak import say
from coachbot.core.talk.because import because
from coachbot.journal import Journal

FILES = sorted((Path(__file__).parents[2] / "transcripts_demo").rglob("*.txt"))


def asked(day):
    return f"{day.day} {day:%B}".lower()


def read_once(journal):
    """The facts of a case from memory, as long as there are no more of them."""
    facts = cache(lambda case, after, count: Journal.read(journal, case, after))
    return lambda case, after=0: facts(case, after, journal.position(case))


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_every_decision_has_its_why(path, tmp_path, monkeypatch):
    coach = Coach(Journal.open(tmp_path / "coach.sqlite"), book())
    conversation = read(path)
    entries = [turn.entry for turn in play(coach, conversation)]
    monkeypatch.setattr(coach.journal, "read", read_once(coach.journal))
    assert sum(_explained(coach, case, entries) for case in coach.cases()) > 0
    coach.journal.close()


def _explained(coach, case, entries):
    """Asks why on each day of a case; returns how many decisions there were."""
    state, events = coach.case(case), [event for _, event in coach.journal.read(case)]
    now = entries[-1].at(state.zone)
    days: dict = {}
    for event in events:
        days.setdefault(local_day(event.at, state.zone), []).extend(cause.reason for cause in causes(event))
    for day, decided in days.items():
        answer = coach.say(state.clinicians[0], f"why @{case} {asked(day)}", now)
        for reason in decided:
            assert say(because(reason), book().texts["en"]) in answer, (day, reason.rule)
    return sum(map(len, days.values()))


def test_conversations_are_found():
    assert FILES


def test_day_without_decisions_says_so(clinic):
    clinic.approved("Sam")
    assert "Nothing was decided" in clinic.say("why sam 3 february")


def test_weekday_means_the_last_one(clinic):
    clinic.approved("Sam")
    clinic.on(3)
    clinic.morning("sam")
    clinic.on(8, 7)
    assert "Thursday 5 March" in clinic.say("why sam thursday")
    assert "Sunday 8 March" not in clinic.say("why sam yesterday").replace("Sunday 9", "")


def test_why_names_the_exercise(clinic):
    clinic.approved("Sam")
    clinic.on(2).morning("sam")
    for said in (clinic.say("why sam"), clinic.hear("sam", "why")):
        assert "Why, for slider, hinge: this" in said or "Why, for slider: " in said
        assert "Why, for knee straightening, straight leg raise: gentle movement" in said


def test_onset_pop_reaches_the_clinicians(clinic):
    case = clinic.enrol("Sam")
    clinic.hear(case, "hello")
    for slot, words in INTAKE.items():
        if slot == "mechanism":
            clinic.hear(case, "I felt a pop")
        clinic.hear(case, words)
    told = next(text for text in clinic.news() if "finished the intake" in text)
    assert 'start of the injury: "felt a pop"' in told and "no alert" in told
    assert "Day of the injury: Monday 2 March." in told
    assert clinic.state().hold is None


def test_ordinary_intake_tells_of_no_onset(clinic):
    clinic.screened("Sam")
    assert not any("start of the injury" in text for text in clinic.news())
