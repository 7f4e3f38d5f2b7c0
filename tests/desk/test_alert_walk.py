"""An alert walked minute by minute: repeated, passed along the list, told to the athlete, never without an end."""

from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from clinic import OTHER
from hypothesis import given, settings, strategies as st
from play import CLINICIAN, ZONE, Play

from coachbot.core.days import instant
from coachbot.core.desk.alerts import following, waiting
from coachbot.core.events import Alerted, AthleteTold, Rostered, dump, load
from coachbot.core.rules.roster import in_hours
from coachbot.core.state import State, apply, fold
from coachbot.core.step import next_wake

EMERGENCY = "I have chest pain and I am short of breath"
SAME_DAY = "I felt a sudden sharp pop"


def alarmed(words: str, hours: tuple[Rostered, ...] = ()) -> Play:
    """A case in which the athlete has just told of a sign, in the middle of day 2."""
    play = Play().approved().on(2)
    play.morning("1")
    for duty in hours:
        play.events.append(duty)
        play.state = apply(play.state, duty)
    play.later(hours=1)
    play.hear(words)
    return play


def walk(play: Play, minutes: int) -> list[tuple[int, str]]:
    """What happens minute by minute: who gets the alert, and when the athlete is told."""
    seen = []
    for minute in range(minutes + 1):
        due = next_wake(play.state, play.book)
        if minute and due is not None and due <= play.now:
            play.tick()
            seen += [(minute, each) for each in _said(play)]
        play.later(minutes=1)
    return seen


def _said(play: Play) -> list[str]:
    told = [fact for fact in play.last if isinstance(fact, Alerted | AthleteTold)]
    return [fact.to if isinstance(fact, Alerted) else "athlete" for fact in told]


def test_emergency_nobody_answers():
    # Every 5 min, 3 times, then the next person; after the list the athlete is told (programme of the shipped tiers).
    play = alarmed(EMERGENCY)
    assert [alert.to for alert in play.alerts] == [CLINICIAN]
    first = [(5, CLINICIAN), (10, CLINICIAN), (15, OTHER), (20, OTHER), (25, OTHER), (30, "athlete"), (30, CLINICIAN)]
    assert walk(play, 89) == [*first, (60, OTHER)]
    assert play.state.alerts["sam-a1"].athlete_told


def test_same_day_nobody_answers():
    # One hour for each person on the list.
    play = alarmed(SAME_DAY)
    assert walk(play, 125) == [(60, OTHER), (120, "athlete"), (120, CLINICIAN)]


def test_athlete_is_told_what_to_do():
    play = alarmed(EMERGENCY)
    walk(play, 29)
    play.later(minutes=1)
    assert "call your local emergency number now" in play.tick().lower()


def test_late_answer_ends_it():
    play = alarmed(EMERGENCY)
    walk(play, 16)
    play.act("acknowledge", by=CLINICIAN)
    assert play.state.alerts["sam-a1"].taken_by == CLINICIAN
    assert walk(play, 120) == []
    assert f"{CLINICIAN} already has" in play.act("acknowledge", by=OTHER)
    play.act("take over", by=OTHER)
    assert play.state.alerts["sam-a1"].taken_by == OTHER
    assert "taken over" in play.told(CLINICIAN)


def test_passed_on_alert_runs_again():
    play = alarmed(SAME_DAY)
    play.act("acknowledge")
    play.act("pass on to dr-two")
    assert [alert.to for alert in play.alerts] == [OTHER]
    assert [a.alert for a in waiting(play.state)] == ["sam-a1"]
    assert walk(play, 125) == [(60, "athlete"), (60, CLINICIAN), (120, OTHER)]


def test_release_and_closing_end_alerts():
    for line in ("release seen today", "close season over"):
        play = alarmed(SAME_DAY)
        play.act(line)
        assert waiting(play.state) == []
        assert play.state.alerts["sam-a1"].taken_by == CLINICIAN


def test_undone_answer_runs_again():
    play = alarmed(EMERGENCY)
    play.act("acknowledge")
    play.act("undo")
    assert [to for _, to in walk(play, 6)] == [CLINICIAN]


EVERY_DAY = "mon tue wed thu fri sat sun"


def duty(who: str, first: float, last: float, number: str = "030 123456", days: str = EVERY_DAY) -> Rostered:
    return Rostered(
        at=instant(date(2026, 3, 2), 18, ZONE),
        who=who,
        zone=ZONE,
        days=tuple(days.split()),
        from_hour=first,
        to_hour=last,
        number=number,
    )


def test_who_is_in_hours_goes_first():
    play = alarmed(SAME_DAY, (duty(CLINICIAN, 18, 22), duty(OTHER, 8, 18)))
    assert [alert.to for alert in play.alerts] == [OTHER]
    assert "030" not in play.told("athlete")


def test_quiet_hours_delay_no_emergency():
    hours = (duty(CLINICIAN, 13, 14), duty(OTHER, 13, 14))
    play = alarmed(EMERGENCY, hours)
    assert [alert.to for alert in play.alerts] == [CLINICIAN]
    assert "030 123456" in play.told("athlete")
    assert walk(play, 15) == [(5, CLINICIAN), (10, CLINICIAN), (15, OTHER)]


def test_night_alert_names_the_number():
    play = alarmed(SAME_DAY, (duty(CLINICIAN, 13, 14, "030 999"), duty(OTHER, 13, 14, "")))
    assert "030 999" in play.told("athlete")


def test_day_off_counts_as_outside():
    # Day 2 after Monday 2 March is a Wednesday.
    play = alarmed(SAME_DAY, (duty(CLINICIAN, 0, 24, days="mon tue thu fri"), duty(OTHER, 0, 24)))
    assert [alert.to for alert in play.alerts] == [OTHER]


@pytest.mark.parametrize("night", [date(2026, 3, 29), date(2026, 10, 25)], ids=["forward", "back"])
def test_clock_change_keeps_elapsed_minutes(night):
    start = instant(night, 1.75, ZONE)
    play = Play()
    play.intake()
    play.now = start
    play.hear(EMERGENCY)
    sent = [play.now]
    for _ in range(3):
        play.now = next_wake(play.state, play.book)
        play.tick()
        sent.append(play.now)
    assert [(b - a) for a, b in pairwise(sent)] == [timedelta(minutes=5)] * 3


@pytest.mark.parametrize("night", [date(2026, 3, 29), date(2026, 10, 25)], ids=["forward", "back"])
def test_clock_change_keeps_hours(night):
    state = State(clinicians=(CLINICIAN,), duties={CLINICIAN: duty(CLINICIAN, 8, 18)})
    for hour, there in ((7.9, False), (8, True), (17.9, True), (18, False)):
        assert in_hours(state, CLINICIAN, instant(night, hour, ZONE)) is there
    wall = datetime(night.year, night.month, night.day, 8, tzinfo=ZoneInfo(ZONE))
    assert in_hours(state, CLINICIAN, wall)


def test_restart_changes_nothing():
    whole, cut = alarmed(EMERGENCY), alarmed(EMERGENCY)
    expected = walk(whole, 69)
    seen = []
    for _ in range(10):
        seen += walk(cut, 6)
        cut.state = fold([load(dump(event)) for event in cut.events], State(case="sam"))
    assert [to for _, to in seen] == [to for _, to in expected]
    assert cut.state.alerts == whole.state.alerts


LINES = ["acknowledge", "take over", "pass on to dr-two", "pass on to dr-lee", "undo", "note called", ""]


@settings(max_examples=60, deadline=None)
@given(
    words=st.sampled_from([EMERGENCY, SAME_DAY]),
    acts=st.lists(
        st.tuples(
            st.integers(1, 200),
            st.sampled_from(LINES),
            st.sampled_from([CLINICIAN, OTHER]),
        ),
        max_size=6,
    ),
)
def test_no_alert_without_an_end(words, acts):
    """After any acts every alert is with a person, or is still being sent and the athlete has been told."""
    play = alarmed(words)
    for minutes, line, by in acts:
        walk(play, minutes)
        if line:
            play.act(line, by)
    for alert in play.state.alerts.values():
        if alert.taken_by is None:
            coming = following(alert, play.state, play.book)
            assert next_wake(play.state, play.book) <= coming.at
            assert coming.to in play.state.clinicians
    walk(play, 200)
    assert all(a.taken_by or a.athlete_told for a in play.state.alerts.values())
