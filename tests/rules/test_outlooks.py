"""Outlooks: none before day 7, ranges of groups, own cases from eight returns on, no sprint numbers for a stretch."""

import pytest
from play import Play

from coachbot.core.rules.outlook import Own, view
from coachbot.core.sums.outlook import lognormal, of_ten
from coachbot.core.turn import Turn

EIGHT = [Own("sprint", float(days), True) for days in (14, 17, 19, 21, 23, 28, 31, 40)]


def seen(day: int = 7, kind: str = "", **answers: str) -> Play:
    play = Play().approved(**answers)
    play.on(day)
    if kind:
        play.act(f"kind {kind}")
    play.act("reviewed tender on pressing")
    return play


def look(play: Play, own=()):
    return view(Turn(play.state, play.book, play.now), own)


@pytest.mark.parametrize("day", [1, 3, 6])
def test_nothing_before_day_seven(day):
    # Jacobsen 2016: the first examination predicts poorly
    play = seen(day, "sprint mri 2")
    assert look(play, EIGHT) is None
    assert "No outlook yet" in play.act("outlook")


def test_day_alone_is_not_an_examination():
    assert look(Play().approved().on(12)) is None


def test_published_group_is_a_range():
    # grade 2: median 20 d, 80 % range 11-36 (log-normal of 22 +- 11 d, Ekstrand 2012, doi 10.1136/bjsports-2011-090155)
    plain = of_ten(lognormal(22, 11), 8)
    assert (round(plain.low), round(plain.median), round(plain.high)) == (11, 20, 36)
    ((name, told),) = look(seen(7, "sprint mri 2")).published
    assert name == "mri_2" and 11 <= told.low <= 12 and 36 <= told.high <= 37
    assert "of 10 similar athletes about 8 were back between day" in seen(7, "sprint mri 2").act("outlook")


def test_seven_own_cases_show_no_curve():
    found = look(seen(7, "sprint mri 1"), EIGHT[:7])
    assert found.curve is None and found.combined is None and found.own == 7


def test_eight_own_cases_show_a_curve():
    found = look(seen(7, "sprint mri 1"), [*EIGHT, Own("sprint", 12.0, False), Own("stretch", 60.0, True)])
    assert found.curve.returns == 8 and found.curve.cases == 9
    assert found.combined.low < found.combined.median < found.combined.high


def test_own_curve_agrees_with_lifelines():
    from lifelines import KaplanMeierFitter

    own = [*EIGHT, Own("sprint", 18.0, False)]
    found = look(seen(7, "sprint mri 1"), own).curve
    fitted = KaplanMeierFitter().fit([each.days for each in own], [each.back for each in own])
    assert found.median()[0] == fitted.median_survival_time_


@pytest.mark.parametrize("answers", [{"mechanism": "stretching far"}, {"mechanism": "kicking"}])
@pytest.mark.parametrize("group", ["", "mri 2", "later 1"])
def test_stretch_gets_no_sprint_numbers(answers, group):
    play = seen(7, f"stretch {group}".strip(), **answers)
    play.act("measure knee extension 150 172 2026-03-04")
    found = look(play, EIGHT)
    assert found.published == () and found.combined is None and found.curve is None
    said = play.act("outlook")
    # Askling 2013, doi 10.1136/bjsports-2013-092165: means of 43 and 74 days, as printed in the programme's data
    assert "mean 43 days" in said and "74 with usual" in said and "MRI" not in said


def test_tendon_is_a_kind_of_its_own():
    # class 2c: 34 +- 7 days in track and field (Pollock 2022)
    ((name, told),) = look(seen(7, "sprint tendon 2c"), EIGHT).published
    assert name == "tendon_2c" and 25 < told.low < 34 < told.high < 45


def test_late_deficit_finds_no_band():
    play = seen(7)
    play.act("measure knee extension 160 172")
    assert look(play).published == ()


def test_early_deficit_shows_neighbours():
    # Malliaropoulos 2010, doi 10.1177/0363546510366423: bands of 10 degrees, wider than the error of the test
    play = seen(7)
    play.act("measure knee extension 157 172 2026-03-04")
    assert [name for name, _ in look(play).published] == ["deficit_1", "deficit_2", "deficit_3"]


@pytest.mark.parametrize(("answers", "signed"), [({"mechanism": "stretching far"}, True), ({}, False)])
def test_careful_kinds_are_signed(answers, signed):
    play = Play().approved(**answers)
    assert play.state.signed is signed


def test_tendon_named_later_is_signed():
    play = Play().approved()
    play.act("kind sprint tendon 3c")
    assert play.state.signed


def test_athlete_hears_what_to_expect():
    play = Play().intake(mechanism="stretching far")
    play.act("approve")
    assert "long stretch" in play.told("athlete")


def test_no_outlook_reaches_the_athlete():
    play = seen(7, "sprint mri 2")
    play.act("outlook")
    assert play.told("athlete") == ""
