"""The next-morning rule as a table: M this morning, B the usual score before; what counts, repeats or rests."""

import pytest
from hypothesis import given, strategies as st
from season import evening, level, started, trained

from coachbot.core.events import Flagged, Judged
from coachbot.core.rules.morning import Bounds, usual, verdict

SHIPPED = Bounds(base_mornings=3, rise_counts=1, rise_rest=3, score_rest=7, limit=4)
FARRAR = "Farrar et al. 2001, Pain 94:149-158: a change of 2 points is a real one"
TABLE = [  # M, B, verdict; the default 24-hour rule is common practice, no source, around Farrar's 2 points
    (2, 1, "counts"), (3, 1, "repeat"), (4, 1, "rest"),
    (0, 0, "counts"), (1, 0, "counts"), (1.5, 0, "repeat"), (2, 0, "repeat"), (2.5, 0, "repeat"), (3, 0, "rest"),
    (4, 4, "counts"), (4, 3, "counts"), (4.5, 4, "repeat"), (5, 4, "repeat"), (5, 5, "repeat"), (6.5, 6, "repeat"),
    (7, 6, "rest"), (7, 7, "rest"), (10, 9, "rest"),
]  # fmt: skip
SCORES = st.integers(0, 20).map(lambda half: half / 2)
ORDER = ("counts", "repeat", "rest")


@pytest.mark.parametrize(("score", "base", "word"), TABLE)
def test_table_of_the_morning(score, base, word):
    assert verdict(score, base, SHIPPED)[0] == word, FARRAR


@given(SCORES, SCORES, SCORES)
def test_more_pain_is_never_milder(score, more, base):
    worse, better = max(score, more), min(score, more)
    words = [ORDER.index(verdict(each, base, SHIPPED)[0]) for each in (better, worse)]
    assert words == sorted(words)


@given(SCORES, SCORES)
def test_over_the_limit_never_counts(score, base):
    assert verdict(score, base, SHIPPED)[0] != "counts" or score <= SHIPPED.limit


@pytest.mark.parametrize(("scores", "base"), [([1], 1), ([0, 4], 2), ([5, 1, 2], 2), ([9, 9, 1, 2, 1], 1)])
def test_usual_is_the_median_of_three(scores, base):
    assert usual(scores, 3) == base


@pytest.mark.parametrize(("score", "word"), [("1", "counts"), ("2", "repeat"), ("3", "rest")])
def test_morning_judges_the_session(score, word):
    walk = trained(score)
    judged = [event.verdict for event in walk.events if isinstance(event, Judged)]
    assert judged == [word]
    assert (level(walk, "slider") == 2) is (word == "counts")


def test_rest_morning_rests_and_tells():
    walk = trained("3")
    assert "morning-jump" in {f.flag for f in walk.events if isinstance(f, Flagged)}
    assert walk.issued[-1].lines == ()
    assert walk.state.alerts


def test_second_jump_rests_as_well():
    walk = trained("7")
    walk.act("ack")
    walk.on(4)
    walk.morning("8")
    assert walk.issued[-1].lines == ()
    assert len([f for f in walk.events if isinstance(f, Flagged) and f.flag == "morning-jump"]) == 2


@pytest.mark.parametrize("response", ["worse", "a lot worse"])
def test_worse_leg_repeats(response):
    assert level(trained(response=response), "slider") == 1


def test_masked_score_earns_nothing():
    assert level(trained("0 with ibuprofen"), "slider") == 1


def test_missing_morning_earns_nothing():
    walk = evening(started(), 2)
    walk.on(4)
    walk.morning()
    assert [event.verdict for event in walk.events if isinstance(event, Judged)] == ["repeat"]
    assert level(walk, "slider") == 1
