"""Remarks on the days: trend, flare and load; gaps stay gaps, and no ratio of loads is computed anywhere."""

import re
from pathlib import Path

import pytest
from play import Play

import coachbot
from coachbot.core.rules import monitor
from coachbot.core.turn import Turn


def scored(*scores: str | None) -> Play:
    """Mornings from day 1 on; None is a day without an answer."""
    play = Play().approved()
    for day, score in enumerate(scores, start=1):
        play.on(day)
        if score is not None:
            play.morning(score)
            for alert in [a for a in play.state.alerts.values() if a.taken_by is None]:
                play.act(f"acknowledge {alert.alert}")
    return play


def look(play: Play) -> Turn:
    return Turn(play.state, play.book, play.now)


def test_few_answers_name_no_trend():
    # n = 3 and 4 can never be significant: exact p of Mann-Kendall is 2/n! (identity)
    assert monitor.pain_trend(look(scored("4", "3", "2", "1"))).word == "too few answers"


def test_a_fall_is_named_on_two_days():
    play = scored("4", "4", "3", "3", "2", "2", "1", "1", "0")
    assert monitor.pain_trend(look(play)).word == "improving"
    assert "improving" in play.act("load")


def test_gaps_are_not_filled():
    found = monitor.pain_trend(look(scored("3", None, None, None, "1")))
    assert (found.word, found.answers) == ("too few answers", 2)


@pytest.mark.parametrize(("scores", "flared"), [
    (("1", "1", "1", "1", "4"), True), (("1", "1", "1", "1", "3"), False), (("1", "1", "1", "3", "3"), True),
    (("1", "1", "1", "3", None), False),
])  # fmt: skip
def test_flare_needs_three_or_two_twice(scores, flared):
    # +3 over the base, or +2 on two days running (common practice, no source; tests/sums counts its false alarms)
    assert monitor.flared(look(scored(*scores))) is flared


def trained(days: int, *, told: bool = True) -> Play:
    play = Play().approved()
    for day in range(1, days + 1):
        play.on(day).morning()
        if play.state.session.open and told:
            play.report()
    return play.on(days + 1)


def test_load_is_effort_times_minutes():
    # Foster et al. 2001 (from memory): 5 x 40 = 200
    play = trained(4)
    loads = [monitor.day_load(look(play), s.day) for s in play.state.sessions if s.done_at]
    assert loads and set(loads) == {200.0}


def test_a_day_without_session_is_zero():
    play = trained(1)
    assert monitor.day_load(look(play), play.state.mornings[0].day) == 0


def test_an_untold_session_is_missing():
    play = trained(4, told=False)
    untold = [s.day for s in play.state.sessions if s.skipped]
    assert untold and {monitor.day_load(look(play), day) for day in untold} == {None}


def test_weeks_show_change_and_monotony():
    weeks = monitor.weeks(look(trained(21)))
    assert weeks.now.whole and weeks.before.whole
    assert weeks.change == pytest.approx(weeks.now.total / weeks.before.total - 1)
    assert weeks.now.strain == pytest.approx(weeks.now.total * weeks.now.monotony)  # Foster 1998


def test_a_missing_day_hides_the_change():
    play = trained(21)
    play.on(23).morning()
    assert monitor.weeks(look(play)).change is None
    assert "no answer" in play.act("load")


def test_no_ratio_of_loads():
    # Lolli et al. 2019: acute is part of chronic; Impellizzeri et al. 2021: time to dismiss it
    source = "\n".join(path.read_text("utf-8") for path in Path(coachbot.__file__).parent.rglob("*.py"))
    assert not re.search(r"\b(acwr|acute_chronic|chronic_load|acute_load|sweet.spot)\b", source, re.IGNORECASE)
