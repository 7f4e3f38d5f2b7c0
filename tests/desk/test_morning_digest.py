"""Twenty-five athletes over six weeks: each digest fits a screen, holds come first, each item says its act."""

import random
from dataclasses import replace
from functools import cache

import pytest
from play import CLINICIAN, Play, book

from coachbot.core.desk.alerts import waiting
from coachbot.core.desk.digest import digest
from coachbot.core.speak import speak
from coachbot.core.state import State

ATHLETES, DAYS, ZONE = 25, 42, "Europe/Berlin"
LONGEST = 40
SIGNS = ("I felt a sharp pop", "my calf is swollen", "pins and needles in my foot", "night pain again")


def lived(number: int) -> list[State]:
    """The case of one athlete as it stands each morning at nine, from day 1 on; the same number gives the same life."""
    chance = random.Random(number)
    play = Play()
    play.state = replace(play.state, name=f"Athlete {number:02}", case=f"a{number}")
    play.intake()
    if chance.random() < 0.9:
        play.act("approve signed" if chance.random() < 0.3 else "approve")
    return [_day(play, day, chance) for day in range(1, DAYS + 1)]


def _day(play: Play, day: int, chance: random.Random) -> State:
    play.on(day, 8.5)
    if play.state.approved_by and not play.state.hold and chance.random() < 0.85:
        play.morning(str(chance.choice((0, 0, 1, 1, 2, 3, 5))), response=chance.choice(("settled", "settled", "sore")))
        if chance.random() < 0.03:
            play.hear(chance.choice(SIGNS))
    play.on(day, 9)
    seen = play.state
    session = play.state.session
    if session and session.open and not play.state.hold and chance.random() < 0.8:
        play.on(day, 18)
        play.report(pain=str(chance.choice((0, 0, 1, 2, 5))))
    play.on(day, 19.5)
    if waiting(play.state) and chance.random() < 0.5:
        play.act("acknowledge")
    if play.state.hold and chance.random() < 0.2:
        play.act("release seen today, only sore")
    if chance.random() < 0.2:
        play.act(chance.choice(("confirm", "open fast strong", "examined fine", "note called")))
    return seen


@cache
def clinic() -> list[list[State]]:
    """The caseload of each morning."""
    lives = [lived(number) for number in range(ATHLETES)]
    return [[life[day] for life in lives] for day in range(DAYS)]


def said(day: int) -> tuple[list[State], list[str]]:
    states = clinic()[day]
    at = Play().on(day + 1, 9).now
    return states, speak(digest(states, at, ZONE, book()), book().texts["en"]).splitlines()


@pytest.fixture(scope="module", params=range(DAYS), ids=lambda day: f"day {day + 1}")
def morning(request):
    return said(request.param)


def test_digest_fits_a_screen(morning):
    _, lines = morning
    assert 1 < len(lines) < LONGEST


def test_every_hold_comes_first(morning):
    states, lines = morning
    held = [state.name for state in states if state.hold]
    top = lines[2 : 2 + len(held)]
    assert sorted(line.split(" - ")[0] for line in top) == sorted(held)
    assert all("hold" in line.lower() for line in top)


def test_untaken_holds_lead(morning):
    states, lines = morning
    untaken = {state.name for state in states if state.hold and waiting(state)}
    assert {line.split(" - ")[0] for line in lines[2 : 2 + len(untaken)]} == untaken


def test_every_athlete_stands_once(morning):
    states, lines = morning
    named = [line.split(" - ")[0] for line in lines if " - " in line]
    assert sorted(named) == sorted(state.name for state in states if state.course != "closed")


def test_urgent_items_say_what_to_write(morning):
    _, lines = morning
    first = lines[lines.index("NEEDS YOU FIRST") + 1 :] if "NEEDS YOU FIRST" in lines else []
    for line in first:
        if " - " not in line:
            break
        assert "acknowledge Athlete" in line or "release Athlete" in line


def test_six_weeks_hold_something_of_everything():
    """The test above means something only when the made-up clinic has holds, changes, silence and decisions in it."""
    heads = dict.fromkeys(("NEEDS YOU FIRST", "WAITS FOR YOUR WORD", "CHANGED", "AS PLANNED"), 0)
    for day in range(DAYS):
        for line in set(said(day)[1]) & set(heads):
            heads[line] += 1
    assert min(heads.values()) > 5, heads


def test_written_act_is_understood():
    """What the digest tells a reader to write does what it says."""
    play = Play().approved().on(2)
    play.morning("1")
    play.hear("I felt a sharp pop")
    assert "acknowledge Sam" in speak(digest([play.state], play.now, ZONE, book()), book().texts["en"])
    play.act("acknowledge")
    assert play.state.alerts["sam-a1"].taken_by == CLINICIAN
    assert "release Sam" in speak(digest([play.state], play.now, ZONE, book()), book().texts["en"])
    play.act("release seen today")
    assert play.state.hold is None


def test_those_who_need_you_show_their_week():
    """Gaps stay gaps; who is as planned keeps the short line."""
    play = Play().approved()
    for day, score in ((2, "3"), (3, "3"), (5, "2")):
        play.on(day).morning(score)
    ordinary = speak(digest([play.state], play.now, ZONE, book()), book().texts["en"])
    assert "Walking pain, last 7 days" not in ordinary
    play.hear("I felt a sharp pop")
    said = speak(digest([play.state], play.now, ZONE, book()), book().texts["en"])
    assert "Walking pain, last 7 days: · · · 3 3 · 2. Write: acknowledge Sam" in said
