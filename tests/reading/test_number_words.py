"""Number words 0-100 of every language agree with num2words, an independent source (LGPL, used in tests only)."""

import pytest
from num2words import num2words

from coachbot.core.reading import Kind, Reading, read
from coachbot.language import load

LANGUAGES = ("en", "es", "de", "fr", "pt", "it", "nl")
HALVES = {
    "en": ["two and a half", "seven and a half"], "es": ["dos y medio", "siete y medio"],
    "de": ["zweieinhalb", "siebeneinhalb"], "fr": ["deux et demi", "sept et demi"],
    "pt": ["dois e meio", "sete e meio"], "it": ["due e mezzo", "sette e mezzo"],
    "nl": ["twee en een half", "zevenenhalf"],
}  # fmt: skip


@pytest.mark.parametrize("code", LANGUAGES)
@pytest.mark.parametrize("value", range(11))
def test_pain_words_agree(code, value):
    word = "één" if (code, value) == ("nl", 1) else num2words(value, lang=code)  # "een" is also an article
    assert read(Kind.PAIN, word, load(code)).value == value


@pytest.mark.parametrize("code", LANGUAGES)
@pytest.mark.parametrize("value", range(2, 101))
def test_numbers_agree(code, value):
    assert read(Kind.NUMBER, num2words(value, lang=code), load(code)).value == value


@pytest.mark.parametrize("code", LANGUAGES)
def test_halves_are_read(code):
    found = [read(Kind.PAIN, words, load(code)) for words in HALVES[code]]
    assert [reading.value for reading in found if isinstance(reading, Reading)] == [2.5, 7.5]
