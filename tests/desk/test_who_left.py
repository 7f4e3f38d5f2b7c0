"""A clinician who left gets no alert while anybody else is on the list; there is always somebody who gets it."""

from datetime import UTC, datetime

from clinic import OTHER
from play import CLINICIAN, Play

from coachbot.core.events import Rostered
from coachbot.core.rules.roster import WEEKDAYS, on_call
from coachbot.core.state import apply

SAME_DAY = "I felt a sudden sharp pop"
AT = datetime(2026, 3, 2, tzinfo=UTC)


def present(who: str, days: tuple[str, ...]) -> Rostered:
    return Rostered(at=AT, who=who, zone="UTC", days=days, from_hour=0, to_hour=24, number="")


def left(play: Play, *who: str, days: tuple[str, ...] = ()) -> Play:
    for each in who:
        duty = present(each, days)
        play.events.append(duty)
        play.state = apply(play.state, duty)
    return play


def alarmed() -> Play:
    play = Play().approved().on(2)
    play.morning("1")
    return play


def test_first_alert_passes_by_who_left() -> None:
    play = left(alarmed(), CLINICIAN)
    play.hear(SAME_DAY)
    assert [alert.to for alert in play.alerts] == [OTHER]


def test_open_alert_moves_on() -> None:
    """Who left after the alert had gone to them is not tried again."""
    play = alarmed()
    play.hear("I have chest pain and I am short of breath")
    left(play, CLINICIAN)
    to = []
    for _ in range(40):
        play.later(minutes=5)
        play.tick()
        to += [alert.to for alert in play.alerts]
    assert len(to) > 3 and set(to) == {OTHER}


def test_alert_finds_somebody_though_all_left() -> None:
    play = left(alarmed(), CLINICIAN, OTHER)
    assert on_call(play.state, play.now) == (CLINICIAN, OTHER)


def test_back_means_called() -> None:
    play = left(left(alarmed(), CLINICIAN), CLINICIAN, days=WEEKDAYS)
    play.hear(SAME_DAY)
    assert [alert.to for alert in play.alerts] == [CLINICIAN]


def test_handing_takes_off_who_left() -> None:
    play = left(alarmed(), CLINICIAN)
    play.act(f"hand Sam to {OTHER}", by=OTHER)
    assert play.state.clinicians == (OTHER,)
