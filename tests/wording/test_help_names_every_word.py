"""The athlete's help names every word that is understood at any time, and each word named is understood."""

import re

import pytest
from census import texts

from coachbot import language
from coachbot.core.reading import command
from coachbot.core.talk.always import COMMANDS

SAYS = {"skip": "not today", "unshare": "stop sharing", "share": "share again"}
"""Where the word to write is not the name of what it does."""
WORDS = {name: SAYS.get(name, name) for name in COMMANDS if name != "hello"}


@pytest.mark.parametrize("name", WORDS)
def test_help_names(name):
    assert re.search(rf"\b{WORDS[name]}\b", str(texts()["help.words"]))


@pytest.mark.parametrize("name", WORDS)
def test_word_is_understood(name):
    assert command(WORDS[name], language.load("en")) == name
