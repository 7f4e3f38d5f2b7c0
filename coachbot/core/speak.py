"""Turns the words a step wishes to say into sentences of one language; it knows no sentence itself."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from .effects import Word

Entry = str | Mapping[str, str]


@dataclass(frozen=True, eq=False)
class Texts:
    """The sentences of one language by key, the words of its choices by slot and choice, and of its acts; time zones
    by the cities that people name.

    An entry is a sentence with ``{names}``, or one sentence a plural form (``one``, ``other``) chosen by ``n``.
    """

    code: str
    entries: Mapping[str, Entry]
    choices: Mapping[str, Mapping[str, tuple[str, ...]]]
    acts: Mapping[str, Mapping[str, tuple[str, ...]]] = field(default_factory=dict)
    cities: Mapping[str, str] = field(default_factory=dict)


def speak(words: Iterable[Word], texts: Texts) -> str:
    """The message: one line a word. Raises KeyError for a text or a value that is missing."""
    return "\n".join(line for line in (say(word, texts) for word in words) if line)


def say(word: Word, texts: Texts) -> str:
    """One text with its values put in."""
    entry = texts.entries[word.key]
    template = entry if isinstance(entry, str) else entry[_plural(word.values["n"], entry)]
    return template.format_map({name: _shown(value, texts) for name, value in word.values.items()})


def _plural(n: object, forms: Mapping[str, str]) -> str:
    single = n == 1 or (n == 0 and "zero-is-one" in forms)
    return "one" if single and "one" in forms else "other"


def _shown(value: object, texts: Texts) -> str:
    match value:
        case Word():
            return say(value, texts)
        case bool():
            return say(Word("yes" if value else "no"), texts)
        case float() | int():
            return f"{value:g}"
        case date():
            return say(_date(value), texts)
        case str():
            return value
        case _ if isinstance(value, Iterable):
            return ", ".join(_shown(each, texts) for each in value)
        case _:
            return str(value)


def _date(day: date) -> Word:
    values = {"weekday": Word(f"weekday.{day.isoweekday()}"), "day": day.day, "month": Word(f"month.{day.month}")}
    return Word("date", values)
