"""One language as frozen tables built from plain data; it reads no file and knows no word itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.policy import Policy
from coachbot.core.reading.tokens import Phrases

# Every table a language must bring; each maps a symbol to the phrases that mean it.
TABLES = {
    "pain", "yes_no", "range", "sets", "duration", "weight", "sprint", "dates", "commands", "choice",
    "number", "speed", "clock",
}  # fmt: skip
HIGHEST = 100  # number words are listed from 0 to this


class Incomplete(ValueError):
    """A language that may not be offered; the message says what it lacks."""


@dataclass(frozen=True, slots=True)
class Language:
    """Tables of phrases for one language; `lexicon` and `policy` are None until the flag data was loaded."""

    code: str
    numbers: Phrases
    tables: Mapping[str, Phrases]
    plain: frozenset[str]  # every word of the answer tables and number words
    lexicon: Lexicon | None = None
    policy: Policy | None = None

    @classmethod
    def from_data(
        cls, code: str, words: Mapping[str, Any], flags: Mapping[str, Any] | None = None, weights: bytes = b""
    ) -> "Language":
        """From the data of one language folder, all values strings; raises Incomplete with what is missing."""
        missing = sorted(({"numbers"} | TABLES) - set(words))
        if missing:
            raise Incomplete(f"{code}: no {', '.join(missing)}")
        listed: Sequence[str] = words["numbers"]
        if len(listed) != HIGHEST + 1:
            raise Incomplete(f"{code}: {len(listed)} number words, {HIGHEST + 1} wanted (0 to {HIGHEST})")
        numbers = {str(value): [word] for value, word in enumerate(listed)}
        for value, also in words.get("numbers_also", {}).items():
            numbers.setdefault(value, []).extend(also)
        tables = {name: Phrases.from_data(words[name]) for name in TABLES}
        spelt = Phrases.from_data(numbers)
        plain = frozenset().union(*(table.words() for table in (spelt, *tables.values())))
        language = cls(code, spelt, tables, plain)
        return language if flags is None else language.with_flags(flags, weights)

    def with_flags(self, flags: Mapping[str, Any], weights: bytes = b"") -> "Language":
        """The same language with its flag lexicon, and the learned net when weights are given."""
        return replace(self, lexicon=Lexicon.from_data(flags, weights))
