"""The trend of pain: exact chance against every order there is, the words of the rule, and how often it cries wolf."""

import random
from dataclasses import replace
from itertools import permutations
from statistics import fmean

import pytest
from hypothesis import given, strategies as st
from scipy.stats import kendalltau, theilslopes

from coachbot.core.sums.refusal import Refused
from coachbot.core.sums.trend import Answer, TrendRule, exact_p, flare, kendall, theil_sen, trend

Flaring = tuple[float, float]
SCORES = st.lists(st.integers(0, 4).map(float), min_size=2, max_size=6)


@pytest.fixture(scope="module")
def rule(number: dict[str, float]) -> TrendRule:
    return TrendRule(
        window=number["trend.window"],
        answers=number["trend.least_answers"],
        span=number["trend.least_days"],
        p=number["trend.chance"],
        change=number["trend.least_change"],
        running=number["trend.days_running"],
    )


@pytest.fixture(scope="module")
def flaring(number: dict[str, float]) -> Flaring:
    return number["trend.flare"], number["trend.flare_twice"]


@given(SCORES)
def test_chance_counts_every_order(scores: list[float]) -> None:
    """All orders of the scores, ties kept, with |S| as large: counted one by one."""
    orders = list(permutations(scores))
    as_large = sum(abs(kendall(order)) >= abs(kendall(scores)) for order in orders)
    assert exact_p(scores) == pytest.approx(as_large / len(orders))


@given(st.permutations(range(9)))
def test_untied_chance_agrees_with_scipy(scores: list[int]) -> None:
    """scipy.stats.kendalltau(method='exact') against time."""
    assert exact_p(scores) == pytest.approx(kendalltau(range(9), scores, method="exact").pvalue)


@given(st.lists(st.tuples(st.integers(0, 30), st.floats(0, 10)), min_size=2, max_size=10, unique_by=lambda a: a[0]))
def test_slope_agrees_with_scipy(answers: list[Answer]) -> None:
    """scipy.stats.theilslopes."""
    days, scores = zip(*sorted(answers), strict=True)
    assert theil_sen(sorted(answers)) == pytest.approx(theilslopes(scores, days).slope)


def said(scores: list[float | None], rule: TrendRule) -> str:
    """The word on the last day, from one score a day; None is a day without an answer."""
    answers = [(day, score) for day, score in enumerate(scores) if score is not None]
    return trend(answers, len(scores) - 1, rule).word


@pytest.mark.parametrize(
    ("scores", "word"),
    [
        ([6, 5, 5, 4, 4, 3, 3, 2], "improving"),
        ([1, 2, 2, 3, 3, 4, 4, 5], "worsening"),
        ([3, 3, 3, 3, 3, 3, 3, 3], "no clear direction"),
        ([3, 4, 2, 3, 4, 3, 2, 3], "no clear direction"),
        ([2, 2, 2, 2, 1, 1, 1, 1], "no clear direction"),
        ([5, 4, 3, 2], "too few answers"),
        ([], "too few answers"),
        ([5, None, None, None, 4, None, 3, None, None, 2], "too few answers"),
        ([6, None, 5, 5, 4, None, 4, 3, 2], "improving"),
    ],
)
def test_rule_finds_its_word(scores: list[float | None], word: str, rule: TrendRule) -> None:
    assert said(scores, rule) == word


def test_one_day_is_no_trend(rule: TrendRule) -> None:
    """The fifth answer makes p = 2 / 5!, but the window of the day before it had four."""
    assert said([6, 5, 4, 3, 1], rule) == "no clear direction"
    assert said([6, 5, 4, 3, 1, 1], rule) == "improving"


def test_silence_does_not_confirm(rule: TrendRule) -> None:
    """A day without an answer is no second day."""
    assert said([6, 5, 4, 3, 1, None], rule) == "no clear direction"


def test_old_answers_leave_the_window(rule: TrendRule) -> None:
    falling: list[float | None] = [6, 5, 5, 4, 4, 3, 3, 2]
    assert said(falling + [None] * 4, rule) == "improving"
    assert said(falling + [None] * 7, rule) == "too few answers"


def test_window_ends_sharply(rule: TrendRule) -> None:
    """Of answers on days 0 to 10 a window of 10 days holds the last ten."""
    answers = [(day, 3.0) for day in range(11)]
    assert trend(answers, 10, rule).answers == 10
    assert trend(answers, 11, rule).answers == 9


def test_short_span_is_too_few(rule: TrendRule) -> None:
    """A clinician may ask for more days than answers."""
    week = [(day, float(score)) for day, score in enumerate((6, 5, 5, 4, 4, 3, 3, 2))]
    assert trend(week, 7, replace(rule, span=7)).word == "no clear direction"
    assert trend(week, 7, replace(rule, span=6)).word == "improving"
    assert trend(week, 7, replace(rule, span=8)).word == "too few answers"


def test_gaps_are_not_filled(rule: TrendRule) -> None:
    """5, nothing three times, 1 is two answers and not five."""
    found = trend([(0, 5), (4, 1)], 4, rule)
    assert (found.word, found.answers) == ("too few answers", 2)


def test_later_answers_are_unseen(rule: TrendRule) -> None:
    answers = [(day, float(score)) for day, score in enumerate((6, 5, 5, 4, 4, 3, 3, 2))]
    assert trend(answers, 2, rule).word == "too few answers"


def test_disordered_days_are_refused(rule: TrendRule) -> None:
    with pytest.raises(Refused, match=r"trend\.order"):
        trend([(2, 3), (1, 3)], 2, rule)
    with pytest.raises(Refused, match=r"trend\.few"):
        theil_sen([(1, 3)])


@pytest.mark.parametrize(
    ("today", "last", "flared"),
    [(5, 2, True), (4.5, 2, False), (4, 4, True), (4, 3.5, False), (4, None, False), (5, None, True), (2, 6, False)],
)
def test_flare_needs_three_or_two_twice(
    today: float, last: float | None, flared: bool, number: dict[str, float]
) -> None:
    """Base 2: +3 once, or +2 on two days running."""
    assert flare(2, today, last, number["trend.flare"], number["trend.flare_twice"]) is flared


def cries_wolf(rule: TrendRule, months: int, sd: float) -> float:
    """The share of steady months of 28 answers in which any day is called worsening."""
    chance, wolf = random.Random(28), []
    for _ in range(months):
        scores = [(day, float(min(10, max(0, round(chance.gauss(3, sd)))))) for day in range(28)]
        wolf.append(any(trend(scores, day, rule).word == "worsening" for day in range(28)))
    return fmean(wolf)


def test_steady_months_stay_quiet(rule: TrendRule) -> None:
    """Run with -n 0 -s to read the rates. Whole scores around 3 with an SD of 1, looked at on each of 28 days."""
    loose = TrendRule(window=7, answers=5, span=4, p=0.1, change=1, running=1)
    once = replace(rule, running=1)
    rates = {name: cries_wolf(one, 400, 1) for name, one in (("rule", rule), ("one day", once), ("loose", loose))}
    print("\nsteady months with a false worsening:", {name: f"{rate:.1%}" for name, rate in rates.items()})
    assert rates["rule"] <= 0.10
    assert rates["rule"] < rates["one day"] < rates["loose"]
    assert rates["loose"] >= 0.30


def test_flares_stay_rare(flaring: Flaring) -> None:
    """Steady scores of a calm leg (SD .6): under 5 % of months flare; +2 once would do so in most."""
    chance, real, eager = random.Random(5), [], []
    for _ in range(2000):
        scores = [round(chance.gauss(3, 0.6)) for _ in range(28)]
        days = list(zip([None, *scores], scores, strict=False))
        real.append(any(flare(3, now, last, *flaring) for last, now in days))
        eager.append(any(now >= 3 + 2 for now in scores))
    print(f"\nsteady months with a false flare: {fmean(real):.1%}, with +2 once: {fmean(eager):.1%}")
    assert fmean(real) < 0.05 < fmean(eager)
