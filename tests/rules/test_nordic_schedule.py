"""The Nordic dose against the published prevention schedule: never more than its hardest weeks, and its own sums."""

import pytest
from season import started

MJOLSNES = "Mjolsnes et al. 2004, SJMSS 14:311-317; the same table in Petersen et al. 2011, AJSM 39(11):2296-2303"
WEEKS = [  # sessions a week, repetitions of each set at least and at most
    (1, (5, 5), (5, 5)), (2, (6, 6), (6, 6)), (3, (6, 6, 6), (8, 8, 8)), (3, (8, 8, 8), (10, 10, 10)),
    *[(3, (12, 10, 8), (12, 10, 8))] * 6,
]  # fmt: skip


def repetitions(at: int) -> list[int]:
    """Repetitions of each week; `at` is 1 for the least and 2 for the most."""
    return [week[0] * sum(week[at]) for week in WEEKS]


def test_schedule_sums_as_printed():
    assert repetitions(1)[:5] == [10, 24, 54, 72, 90], MJOLSNES
    assert repetitions(2)[:5] == [10, 24, 72, 90, 90], MJOLSNES
    assert sum(week[0] for week in WEEKS) == 27, MJOLSNES
    assert (sum(repetitions(1)), sum(repetitions(2))) == (700, 736), MJOLSNES


@pytest.mark.parametrize("number", [2, 3])
def test_ladder_stays_below_the_schedule(number):
    book = started().book
    nordic, strength = book.ladders["nordic"].level(number), book.programme.strength
    a_week = strength.per_week.value * nordic.sets.value * nordic.reps_high.value
    assert a_week <= max(repetitions(2)), MJOLSNES
    assert strength.per_week.range[1] <= max(week[0] for week in WEEKS), MJOLSNES
