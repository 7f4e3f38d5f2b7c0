"""The digest names a red flag of the last day also when it is settled, and an overdue review is said to be overdue."""

import pytest


@pytest.fixture
def approved(clinic):
    clinic.approved("Sam")
    return clinic.on(2)


def test_settled_flag_is_named(approved):
    approved.morning("sam")
    approved.hear("sam", "felt a pop on the second rep")
    approved.say("release sam seen today")
    approved.say("yes")
    line = next(line for line in approved.say("digest").splitlines() if line.startswith("Sam - "))
    assert line.startswith("Sam - RED FLAG in the last day: ") and "sudden" in line
    approved.on(4)
    assert "RED FLAG" not in approved.say("digest")


@pytest.mark.parametrize("held", [False, True])
def test_overdue_review_is_said(approved, held):
    approved.say("review sam tomorrow")
    due = approved.state().review
    approved.on(3)
    assert "To examine: Sam." in approved.say("digest") and "OVERDUE" not in approved.say("sam")
    approved.on(6)
    if held:
        approved.say("hold sam new swelling")
    assert f"To examine: Sam (overdue since {due:%A} {due.day}" in approved.say("digest")
    assert f"OVERDUE since {due:%A} {due.day}" in approved.say("sam")
