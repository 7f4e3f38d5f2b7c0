"""Answers made of words: yes or no, full range, a choice, a number, free text; it never guesses from a first letter."""

from collections.abc import Mapping, Sequence

from coachbot.core.reading.kinds import Kind, Reading, Unsure
from coachbot.core.reading.language import Language
from coachbot.core.reading.spelling import one_edit
from coachbot.core.reading.tokens import Item, Phrases, items, texts

_SHORTEST_FIXED = 4  # letters a word needs before one typo in it is forgiven
_NO_NUMBERS = Phrases({})


def _plain(text: str, table: Phrases) -> list[Item]:
    """Items in which figures are words too, so that "1" can be a yes."""
    words = texts(text)
    found, at = [], 0
    while at < len(words):
        phrase = table.find(words, at)
        length = phrase[0] if phrase else 1
        found.append(Item(" ".join(words[at : at + length]), symbol=phrase[1] if phrase else ""))
        at += length
    return found


def _symbols(text: str, table: Phrases) -> set[str]:
    """The symbols of the whole text, fillers aside; words that are left have the empty one."""
    return {item.symbol for item in _plain(text, table)} - {"filler"}


def _told(text: str, table: Phrases) -> str | None:
    """The one symbol that covers the whole text, fillers aside; None when words are left or symbols differ."""
    symbols = _symbols(text, table)
    return symbols.pop() if len(symbols) == 1 else None


def yes_no(text: str, language: Language) -> Reading | Unsure:
    """True or False only when every word agrees; a "no" with more than calm words after it is asked again."""
    told = _symbols(text, language.tables["yes_no"])
    if told in ({"yes"}, {"no"}, {"no", "calm"}):
        return Reading(Kind.YES_NO, "yes" in told, text)
    return Unsure(Kind.YES_NO, "unclear", text)


def full_range(text: str, language: Language) -> Reading | Unsure:
    """True for the full range, False for part of it."""
    told = _told(text, language.tables["range"])
    if told in ("yes", "no"):
        return Reading(Kind.FULL_RANGE, told == "yes", text)
    return Unsure(Kind.FULL_RANGE, "unclear", text)


def choice(text: str, language: Language, choices: Mapping[str, Sequence[str]]) -> Reading | Unsure:
    """The key whose words cover the text; its place in the list ("2") counts as well."""
    words = {key: [*said, key] for key, said in choices.items()}
    asked = Phrases.from_data(words)
    fillers = language.tables["choice"].heads
    spelt = " ".join(_corrected(part, asked, fillers) for part in texts(text))
    told = _told(spelt, Phrases({**fillers, **asked.heads}))
    if told in words:
        return Reading(Kind.CHOICE, str(told), text)
    if text.isdecimal() and 0 < int(text) <= len(words):
        return Reading(Kind.CHOICE, [*words][int(text) - 1], text)
    return Unsure(Kind.CHOICE, "not-a-choice", text)


def _corrected(word: str, asked: Phrases, fillers: Mapping[str, object]) -> str:
    known = asked.words()
    if word in known or word in fillers or len(word) < _SHORTEST_FIXED:
        return word
    near = [other for other in sorted(known) if len(other) >= _SHORTEST_FIXED and one_edit(word, other)]
    return near[0] if len(near) == 1 else word


def number(text: str, language: Language) -> Reading | Unsure:
    """One number of 0 or more, in figures or words; two different ones are asked again."""
    line = items(text, language.tables["number"], language.numbers)
    values = {item.value for item in line if item.value is not None}
    strange = any(item.value is None and item.symbol != "filler" for item in line)
    if len(values) == 1 and not strange:
        return Reading(Kind.NUMBER, float(values.pop() or 0), text)
    return Unsure(Kind.NUMBER, "many" if len(values) > 1 else "not-a-number", text)


def free_text(text: str) -> Reading | Unsure:
    """The words as they are; empty is not an answer."""
    return Reading(Kind.TEXT, text, text) if text else Unsure(Kind.TEXT, "empty", text)
