"""After the return: a lighter rhythm, maintenance, minutes in play step by step, reminders, the end of the watch."""

from datetime import timedelta
from functools import cache
from itertools import pairwise

import pytest
from course import returned
from play import INJURED, Play

from coachbot.core.days import local_day
from coachbot.core.events import Prompted, Run
from coachbot.core.rules import afterwards
from coachbot.core.state import fold
from coachbot.core.turn import Turn


@cache
def _back(matches: str) -> tuple[tuple, int]:
    play, day = returned(matches=matches)
    return tuple(play.events), day


def back(matches: str = "none") -> tuple[Play, int]:
    events, day = _back(matches)
    play = Play()
    play.events, play.state, play.now = list(events), fold(events), events[-1].at
    return play, day


def live(play: Play, first: int, last: int, minutes: str = "0") -> None:
    """Answer every check-in that is asked, and train when there is a session."""
    for day in range(first, last + 1):
        play.on(day)
        if play.state.prompts.get("morning") != INJURED + timedelta(days=day):
            continue
        play.morning()
        if play.state.talk.question == "play":
            play.hear(minutes)
        if play.state.session and play.state.session.open:
            play.report(work="3x8 with 40 kg")


def look(play: Play) -> Turn:
    return Turn(play.state, play.book, play.now)


@pytest.mark.parametrize(("planned", "fine"), [(1150, True), (1250, False)])
def test_metres_grow_by_a_fifth(planned, fine):
    # CV-44: own norm 1,000 m a week (Duhig 2016 in direction)
    assert afterwards.within(planned, 1000, 20) is fine


def test_check_ins_become_rare():
    play, day = back()
    live(play, day + 1, day + 56)
    asked = [e.day for e in play.events if isinstance(e, Prompted) and e.what == "morning"]
    later = [d for d in asked if (d - INJURED).days > day]
    assert 2 * 8 <= len(later) < 56
    assert max((b - a).days for a, b in pairwise(later)) <= 3


def test_maintenance_goes_on():
    play, day = back()
    live(play, day + 1, day + 56)
    work = [s.day for s in play.state.sessions if s.done_at and any(line.kind == "work" for line in s.lines)]
    after = [d for d in work if (d - INJURED).days > day]
    assert max((b - a).days for a, b in pairwise(after)) <= 14
    runs = [s.day for s in play.state.sessions if s.done_at and any(isinstance(line, Run) for line in s.lines)]
    assert len([d for d in runs if (d - INJURED).days > day]) >= 7


def test_reminder_after_a_week_without_speed():
    # CV-46: eight days since a run at 95 % or more
    play, day = back()
    play.on(day + 9).morning()
    assert "after.run_due" in [r.rule for r in afterwards.reminders(look(play))]


def test_no_reminder_on_hold():
    play, day = back()
    play.on(day + 9)
    play.act("hold to be seen first")
    assert afterwards.reminders(look(play)) == ()


def test_minutes_in_play_climb():
    # common practice, no source: a part, a half, most, all of a match
    play, day = back("sat")
    assert afterwards.most_minutes(look(play)) == 20
    seen = []
    for week in range(5):
        live(play, day + 1 + 7 * week, day + 7 + 7 * week, minutes=f"{afterwards.most_minutes(look(play)):g}")
        seen.append(afterwards.most_minutes(look(play)))
    assert seen == [45, 70, 90, 90, 90] and len(play.state.played) == 5


def test_a_sore_morning_steps_back():
    play, day = back("sat")
    live(play, day + 1, day + 8, minutes="20")
    now = afterwards.most_minutes(look(play))
    sore = play.state.played[-1].model_copy(update={"quiet": False})
    assert now == 45
    play.state = fold([sore], play.state)
    assert afterwards.most_minutes(look(play)) == 20


def test_match_day_names_its_ceiling():
    play, day = back("sat")
    saturday = next(d for d in range(day + 1, day + 8) if (INJURED + timedelta(days=d)).weekday() == 5)
    live(play, day + 1, saturday - 1)
    play.on(saturday)
    assert "Aim for up to 20 minutes" in play.morning()


def test_watch_ends_after_eight_weeks():
    # 56 days: half of re-injuries come in the first 25 (Wangensteen 2016)
    play, day = back()
    live(play, day + 1, day + 55)
    assert "watch" not in play.state.prompts
    live(play, day + 56, day + 60)
    told = play.state.prompts["watch"]
    assert (told - local_day(play.state.cleared_at, play.state.zone)).days >= 56
    assert "check-ins and" in play.act("summary")
