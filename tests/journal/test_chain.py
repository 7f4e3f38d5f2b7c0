"""A fact changed, moved or taken out behind the coach's back is found and named."""

import pytest

from coachbot.journal import Journal

from .turns import AT, turn


@pytest.fixture
def two_cases(journal: Journal) -> Journal:
    journal.append("ali-1", 0, turn("one"), [], "event-1", at=AT)
    journal.append("sam-1", 0, turn("one"), [], "event-2", at=AT)
    journal.append("sam-1", 3, turn("two"), [], "event-3", at=AT)
    return journal


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            "update journal set body = replace(body, 'one', 'won') where case_id = 'sam-1' and position = 2",
            ["Case sam-1: fact 2 was changed after it was written."],
        ),
        (
            "update journal set chain = 'x' where case_id = 'sam-1' and position = 6",
            ["Case sam-1: fact 6 was changed after it was written."],
        ),
        (
            "delete from journal where case_id = 'sam-1' and position in (3, 4)",
            ["Case sam-1: facts are missing before fact 5."],
        ),
        (
            "delete from journal where case_id = 'sam-1' and position > 4",
            ["Case sam-1: facts are missing after fact 4."],
        ),
        (
            "delete from journal where case_id = 'sam-1' and position < 2",
            ["Case sam-1: facts are missing before fact 2."],
        ),
        (
            "update journal set case_id = 'zoe-1' where case_id = 'ali-1'",
            ["Case zoe-1: fact 1 was changed after it was written."],
        ),
    ],
)
def test_tampering_is_named(two_cases: Journal, change: str, said: list[str]):
    assert two_cases.verify() == []
    two_cases._db.execute(change)
    assert two_cases.verify() == said


def test_equal_facts_chain_apart(two_cases: Journal):
    chains = two_cases._db.execute("select chain from journal").fetchall()
    assert len(set(chains)) == 9
