"""Pain counts as its worst that holds today, notes rises and pain killers, and stores nothing in doubt."""

import pytest

from coachbot.core.reading import Kind, Reading, Unsure, read
from coachbot.language import load

ENGLISH = load("en")


def pain(text: str) -> Reading | Unsure:
    return read(Kind.PAIN, text, ENGLISH)


@pytest.mark.parametrize(("text", "worst"), [("3-4", 4), ("about a 3 maybe 3.5", 3.5), ("2 then 5 by the end", 5)])
def test_worst_end_counts(text, worst):
    assert pain(text).value == worst


def test_rise_is_noted():
    assert pain("2 then 5 by the end").rise and not pain("3 to 4").rise and not pain("5 then 2").rise


def test_range_keeps_both_ends():
    found = pain("between 2 and 4")
    assert (found.low, found.high) == (2, 4)


@pytest.mark.parametrize("text", ["2 after two ibuprofen", "took paracetamol, pain 1", "3 with painkillers"])
def test_painkillers_mask_the_score(text):
    assert pain(text).masked


def test_no_painkillers_is_unmasked():
    assert not pain("2, no painkillers").masked


@pytest.mark.parametrize("text", ["4", "4/10", "four", "4.5", "no pain", "walking 4"])
def test_reading_carries_its_words(text):
    assert pain(text).words == text


@pytest.mark.parametrize(
    ("text", "why"),
    [("11", "out-of-scale"), ("-1", "out-of-scale"), ("4/5", "wrong-scale"), ("sore", "not-a-number"), ("", "empty"),
     ("at least 4", "only-a-bound"), ("1 " * 20, "many"), ("a" * 2000, "too-long")],
)  # fmt: skip
def test_doubt_says_why(text, why):
    assert pain(text) == Unsure(Kind.PAIN, why, pain(text).words)
