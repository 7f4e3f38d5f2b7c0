"""Thousands of steps of athletes and clinicians at random: after each the judge finds nothing, and the facts refold."""

from hypothesis import HealthCheck, given, settings, strategies as st
from walk import APPROVALS, CASES, DAYS, begin

WALKS = settings(
    max_examples=35, deadline=None, derandomize=True, database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)  # fmt: skip


@WALKS
@given(CASES, APPROVALS, st.booleans(), st.lists(DAYS, min_size=15, max_size=40))
def test_random_walks_break_nothing(answers, approval, fast, days):
    walk = begin(answers, approval)
    if fast:
        walk.act("open fast strong in clinic")
    for moves in days:
        for move in moves:
            walk.move(move)
    assert walk.refolds()
