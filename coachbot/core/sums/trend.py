"""Where a row of pain scores is going, in one word, and whether it flared; a remark and never a condition.

Scores are points of the 0-10 scale, days are whole numbers that rise by one a day. A day without an answer is left out:
nothing is carried forward into a gap.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from statistics import median
from typing import Literal

from .refusal import require

Answer = tuple[int, float]
Word = Literal["too few answers", "improving", "worsening", "no clear direction"]


@dataclass(frozen=True)
class TrendRule:
    """When a direction may be named.

    At least `answers` answers over `span` days inside the last `window` days, p under `p`, and a change of at least
    `change` points along the fitted line, all of it `running` answered days in a row.
    """

    window: float
    answers: float
    span: float
    p: float
    change: float
    running: float


@dataclass(frozen=True)
class Trend:
    """The word, and what it rests on: Theil-Sen slope in points a day, its change over the answers in points, the exact
    two-sided p, and how many answers the window held."""

    word: Word
    slope: float
    change: float
    p: float
    answers: int


def kendall(scores: Sequence[float]) -> int:
    """Mann-Kendall's S: pairs that rise in time minus pairs that fall (Mann 1945, Kendall 1975; from memory)."""
    return sum((late > early) - (late < early) for early, late in combinations(scores, 2))


def exact_p(scores: Sequence[float]) -> float:
    """Exact two-sided p of Mann-Kendall's S, ties kept: the share of all orders of these scores with |S| as large.

    With n scores and t pairs not tied, S = t - 2 x inversions; the orders by number of inversions are the coefficients
    of the q-multinomial [n]! / ([n1]! [n2]! ...) over the groups of equal scores (MacMahon 1916; from memory). Any
    number of scores; all equal gives 1.
    """
    groups = Counter(scores).values()
    orders = _orders(len(scores), list(groups))
    untied = len(orders) - 1
    least = abs(kendall(scores))
    return sum(n for i, n in enumerate(orders) if abs(untied - 2 * i) >= least) / sum(orders)


def theil_sen(answers: Sequence[Answer]) -> float:
    """The median slope of all pairs, points a day (Theil 1950, Sen 1968; from memory). At least two days, all apart."""
    slopes = [(after - before) / (late - early) for (early, before), (late, after) in combinations(answers, 2)]
    require(bool(slopes), "trend.few", len(answers))
    return median(slopes)


def trend(answers: Sequence[Answer], today: int, rule: TrendRule) -> Trend:
    """Where the scores of the last days are going. `answers` are (day, score), days rising; later ones are ignored.

    A direction is named only when the window that ends today and, as often as `running` asks, the windows that ended on
    the answered days before it all point the same way: looking every day would else cry wolf.
    """
    require(all(a[0] < b[0] for a, b in pairwise(answers)), "trend.order", tuple(answers))
    known = [answer for answer in answers if answer[0] <= today]
    earlier = [day for day, _ in known][-int(rule.running) : -1]
    now = _look(known, today, rule)
    agreed = all(_look(known, day, rule).word == now.word for day in earlier)
    if now.word in ("improving", "worsening") and not (agreed and len(earlier) == rule.running - 1):
        return Trend("no clear direction", now.slope, now.change, now.p, now.answers)
    return now


def flare(base: float, today: float, last: float | None, jump: float, twice: float) -> bool:
    """Whether pain flared: today `jump` points over the base, or `twice` points over it today and yesterday.

    `base` is the usual score before either; `last` is None when yesterday was not answered, which is never a second
    time. All in points, 0-10.
    """
    return today >= base + jump or (last is not None and min(today, last) >= base + twice)


def _look(answers: Sequence[Answer], day: int, rule: TrendRule) -> Trend:
    """The window that ends on one day, by itself."""
    seen = [answer for answer in answers if day - rule.window < answer[0] <= day]
    span = seen[-1][0] - seen[0][0] if seen else 0
    if len(seen) < rule.answers or span < rule.span:
        return Trend("too few answers", 0.0, 0.0, 1.0, len(seen))
    slope, p = theil_sen(seen), exact_p([score for _, score in seen])
    change = slope * span
    word: Word = "no clear direction"
    if p < rule.p and abs(change) >= rule.change:
        word = "improving" if change < 0 else "worsening"
    return Trend(word, slope, change, p, len(seen))


def _orders(count: int, groups: Sequence[int]) -> list[int]:
    """How many orders of `count` things in groups of equals have 0, 1, 2 ... inversions."""
    orders = [1]
    for size in range(2, count + 1):
        orders = [sum(orders[max(0, i - size + 1) : i + 1]) for i in range(len(orders) + size - 1)]
    for group in groups:
        for size in range(2, group + 1):
            orders = _divided(orders, size)
    return orders


def _divided(orders: Sequence[int], size: int) -> list[int]:
    """A polynomial divided exactly by 1 + q + ... + q^(size - 1)."""
    quotient: list[int] = []
    for i in range(len(orders) - size + 1):
        quotient.append(orders[i] - sum(quotient[max(0, i - size + 1) : i]))
    return quotient
