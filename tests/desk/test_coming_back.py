"""After a pause the coach says since when it was away, does what it missed, alerts first; news has its hour."""

from datetime import timedelta

import pytest
from clinic import OTHER
from play import CLINICIAN

from coachbot.core.events import Alerted


@pytest.fixture
def running(clinic):
    """Two athletes; the coach was seen running."""
    clinic.approved("Sam")
    clinic.approved("Maria")
    clinic.on(2, 9)
    clinic.coach.start(clinic.now)
    return clinic


def test_pause_is_told(running):
    running.hear("maria", "I have chest pain")
    running.later(hours=3)
    running.coach.journal.close()
    running.open()
    running.coach.start(running.now)
    away = [text for text in running.news() if "was not running since" in text]
    assert len(away) == 1
    assert "Wednesday 4 March, 08:00 (UTC)" in away[0]
    assert running.coach.next_wake() > running.now


def test_missed_alert_comes_first(running):
    running.hear("sam", "I felt a sharp pop")
    running.later(minutes=1)
    running.hear("maria", "I have chest pain")
    running.later(hours=30)
    running.coach.journal.close()
    running.open()
    running.unsent(CLINICIAN, OTHER)
    running.coach.start(running.now)
    sent = [message.alert for message in running.unsent(CLINICIAN, OTHER) if message.alert]
    assert sent == ["sam-a1", "maria-a1"]
    assert [e.attempt for e in running.events("maria") if isinstance(e, Alerted)][-1] > 1


def test_short_pause_is_no_news(running):
    running.hear("maria", "I have chest pain")
    running.unsent("clinicians")
    running.later(minutes=5)
    running.coach.start(running.now)
    assert running.news() == []


def test_quiet_pause_is_no_news(running):
    running.morning("sam")
    running.morning("maria")
    running.unsent("clinicians")
    running.later(hours=2)
    running.coach.start(running.now)
    assert running.news() == []


def test_running_coach_is_remembered(running):
    running.later(hours=1)
    running.tick()
    running.later(minutes=4)
    running.hear("maria", "I have chest pain")
    running.later(minutes=30)
    running.coach.start(running.now)
    assert any("since Wednesday 4 March, 09:00 (UTC)" in text for text in running.news())


def test_digest_comes_at_the_own_hour(clinic):
    clinic.approved("Sam")
    clinic.say("zone new york")
    clinic.say("digest at 7:30")
    clinic.say("zone tokyo", OTHER)
    clinic.say("digest at 6", OTHER)
    clinic.on(5, 20)
    mine, others = clinic.coach.journal.messages("desk:dr-lee"), clinic.coach.journal.messages("desk:dr-two")
    # 7:30 in New York is 12:30 UTC in early March, 6:00 in Tokyo is 21:00 UTC the day before.
    assert {(m.made_at.hour, m.made_at.minute) for m in mine} == {(12, 30)}
    assert {(m.made_at.hour, m.made_at.minute) for m in others} == {(21, 0)}
    assert [len(mine), len(others)] == [5, 5]
    assert all("1 athlete." in m.text for m in mine)


def test_digest_keeps_its_hour_over_clock_change(clinic):
    clinic.approved("Sam")
    clinic.say("zone berlin")
    clinic.say("digest at 7")
    clinic.on(29, 12)  # the clocks went forward on 29 March 2026, day 27
    hours = [m.made_at.hour for m in clinic.coach.journal.messages("desk:dr-lee")]
    assert hours == [6] * 26 + [5] * 3


def test_no_digest_unasked(clinic):
    clinic.approved("Sam")
    clinic.say("digest")
    clinic.on(5)
    assert clinic.coach.journal.messages("desk:dr-lee") == []


def test_hours_reach_old_and_new_cases(clinic):
    clinic.approved("Sam")
    clinic.say("zone berlin")
    clinic.say("hours 8 to 18 weekdays 030 123456")
    clinic.approved("Maria")
    clinic.now += timedelta(minutes=1)
    for case in ("sam", "maria"):
        duty = clinic.state(case).duties[CLINICIAN]
        assert (duty.zone, duty.from_hour, duty.to_hour, duty.number) == ("Europe/Berlin", 8, 18, "030 123456")
        assert duty.days == ("mon", "tue", "wed", "thu", "fri")
    clinic.say("zone tokyo")
    assert clinic.state("sam").duties[CLINICIAN].zone == "Asia/Tokyo"


@pytest.mark.parametrize("line", ["hours", "hours 8", "hours 18 to 8", "zone atlantis", "digest at noonish", "enrol"])
def test_unclear_setting_changes_nothing(clinic, line):
    clinic.approved("Sam")
    before = clinic.coach.desks.desk(CLINICIAN)
    assert clinic.say(line)
    assert clinic.coach.desks.desk(CLINICIAN) == before
    assert clinic.coach.cases() == ["sam"]
