"""The always-understood words work in every language, and never inside a longer sentence."""

import pytest

from coachbot.core.reading import command
from coachbot.language import load

ALWAYS = ("hello", "help", "why", "stop", "pain", "correct", "skip", "clinician", "done")
LANGUAGES = ("en", "es", "de", "fr", "pt", "it", "nl")


@pytest.mark.parametrize(
    ("text", "name"),
    [("help", "help"), ("WHY?!", "why"), ("please stop", "stop"), ("pain now", "pain"), ("not today", "skip"),
     ("talk to my physio", "clinician"), ("hi coach", "hello"), ("finished", "done"), ("correct", "correct")],
)  # fmt: skip
def test_word_is_understood(text, name):
    assert command(text, load("en")) == name


@pytest.mark.parametrize(
    "text",
    ["i could not stop limping", "why does my leg hurt", "the pain is 4", "i need help walking", "no pain today",
     "my physio said hello", "skipped the last set", "done 3 sets"],
)  # fmt: skip
def test_sentence_is_no_command(text):
    assert command(text, load("en")) is None


@pytest.mark.parametrize("code", LANGUAGES)
def test_every_language_has_every_word(code):
    table = load(code).tables["commands"]
    symbols = {symbol for _, symbol in table.listed()}
    assert {*ALWAYS, "filler"} <= symbols


@pytest.mark.parametrize("code", LANGUAGES)
def test_listed_words_are_understood(code):
    for words, symbol in load(code).tables["commands"].listed():
        assert symbol == "filler" or command(" ".join(words), load(code)) == symbol
