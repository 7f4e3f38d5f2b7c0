"""The words understood in any state (help, why, stop...), and only when they are the whole message."""

from coachbot.core.reading.gate import clean
from coachbot.core.reading.language import Language
from coachbot.core.reading.tokens import texts

MOST_WORDS = 10  # a longer message is not a command, whatever it contains


def command(text: str, language: Language) -> str | None:
    """The command's name, or None; a sentence that merely contains the word is not a command."""
    words = texts(clean(text[:200]).text)
    table, found, at = language.tables["commands"], set(), 0
    if len(words) > MOST_WORDS:
        return None
    while at < len(words):
        phrase = table.find(words, at)
        if phrase is None:
            return None
        found.add(phrase[1])
        at += phrase[0]
    found -= {"filler"}
    return found.pop() if len(found) == 1 else None
