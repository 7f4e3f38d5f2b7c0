"""Thousands of steps of athletes and clinicians at random: after each the judge finds nothing, and the facts refold."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from walk import APPROVALS, CASES, DAYS, begin

WALKS = settings(
    max_examples=60, deadline=None, derandomize=True, print_blob=False,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)  # fmt: skip


@WALKS
@given(CASES, APPROVALS, st.lists(DAYS, min_size=10, max_size=45))
def test_random_walks_break_nothing(answers, approval, days):
    walk = begin(answers, approval)
    for moves in days:
        for move in moves:
            walk.move(move)
    assert walk.refolds()
