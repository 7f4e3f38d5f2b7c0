"""The day of a measurement is understood in every form that other acts take, wherever it stands among the figures."""

from datetime import date

import pytest
from play import Play

from coachbot.core.events import Measured, SpeedMeasured

FRIDAY = date(2026, 3, 6)
FORMS = [
    "2026-03-06",
    "2026-3-6",
    "6 march",
    "march 6",
    "6 March 2026",
    "6.3.2026",
    "06/03/2026",
    "friday",
    "on friday",
]
SPEED = ["10 january", "2026-01-10", "on 2026-01-10", "10.01.2026", "January 10 2026"]


@pytest.fixture
def play():
    return Play().approved().on(6)  # Sunday 8 March


def last(play: Play, kind: type):
    return [event for event in play.events if isinstance(event, kind)][-1]


@pytest.mark.parametrize("day", FORMS)
@pytest.mark.parametrize("line", ["knee extension 165 172 goniometer {}", "knee extension {} 165 172 goniometer",
                                  "{} knee extension 165/172 goniometer"])  # fmt: skip
def test_day_of_a_test(play, line, day):
    play.act("measure " + line.format(day))
    found = last(play, Measured)
    assert (found.day, found.value, found.method) == (FRIDAY, 172, "goniometer")


@pytest.mark.parametrize("day", SPEED)
@pytest.mark.parametrize("line", ["device 8.9 {}", "device 8.9 m/s {}", "{} device 8.9"])
def test_day_of_a_top_speed(play, line, day):
    play.act("top speed " + line.format(day))
    assert (last(play, SpeedMeasured).day, last(play, SpeedMeasured).value) == (date(2026, 1, 10), 8.9)


def test_yesterday_is_not_today(play):
    play.act("measure palpation 0 yesterday")
    assert last(play, Measured).day == date(2026, 3, 7)


@pytest.mark.parametrize(
    "line", ["device 8.9", "flying 20 2.31 timing gates", "splits 10 1.90 20 3.05 30 4.09 40 5.13"]
)
def test_figures_alone_are_no_day(play, line):
    play.act(f"top speed {line}")
    assert last(play, SpeedMeasured).day == date(2026, 3, 8)


@pytest.mark.parametrize("line", ["measure palpation 0 2026-11-20", "top speed device 8.9 on 2026-11-20"])
def test_day_ahead_is_named(play, line):
    assert (
        play.act(line)
        == "Nothing changed. Friday 20 November is still to come, and only what was measured is recorded."
    )
    assert not any(isinstance(event, Measured | SpeedMeasured) for event in play.events)


def test_review_may_name_a_year(play):
    play.act("review 12 march 2027")
    assert play.state.review == date(2027, 3, 12)
