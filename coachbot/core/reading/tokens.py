"""Text to tokens and tokens to items: numbers and the phrases of a language table; it decides nothing."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

MOST_NUMBERS = 12  # in one message: more is a list, not an answer
_WORD = r"[^\W\d_\u3400-\u9fff]+(?:'[^\W\d_]+)*"
_TOKEN = re.compile(rf"{_WORD}|\d+(?:[.,]\d+(?![.,]?\d))?|->|[<>]=|[\u3400-\u9fff]|[^\w\s]")
_HYPHEN = re.compile(r"-(?<=[^\W\d_]-)(?=[^\W\d_])")  # the sign first: what stands before it is looked at where it is
_STRETCH = re.compile(r"([a-z])\1\1+")


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or sign; `glued` when no space stands before it."""

    text: str
    glued: bool

    @property
    def digits(self) -> bool:
        """True for a number written in figures."""
        return "0" <= self.text[0] <= "9"


@lru_cache(maxsize=512)  # one message is taken apart by ten readers, and the words of choices by every one
def tokens(text: str) -> tuple[Token, ...]:
    """The tokens of a cleaned text; hyphens inside words are spaces, stretched letters are shortened."""
    text = _even(text)
    return tuple(Token(_bare(m[0]), m.start() > 0 and not text[m.start() - 1].isspace()) for m in _TOKEN.finditer(text))


@lru_cache(maxsize=512)
def texts(text: str) -> tuple[str, ...]:
    """The texts of the tokens alone, at a fifth of the time."""
    return tuple([_bare(part) if "'" in part else part for part in _TOKEN.findall(_even(text))])


def _even(text: str) -> str:
    return _STRETCH.sub(r"\1", _HYPHEN.sub(" ", text))


def _bare(part: str) -> str:
    return part.replace("'", "") if len(part) > 1 else part


Symbols = tuple[tuple[int, str], ...]  # length of the phrase and symbol, once for each symbol of it
Rows = tuple[tuple[tuple[str, ...], Symbols], ...]  # phrases with their symbols, longest first


@dataclass(frozen=True, slots=True)
class Phrases:
    """A table from phrases to symbols, found by first word, longest first."""

    heads: Mapping[str, Rows]
    pairs: Mapping[tuple[str, str], Rows] | None = None  # by the first two words, "" for none: for large tables

    @classmethod
    def from_data(cls, table: Mapping[str, Sequence[str]]) -> "Phrases":
        """From {symbol: [phrases]}; the phrases go through the same tokens as a message."""
        heads: dict[str, dict[tuple[str, ...], list[str]]] = {}
        for symbol, phrases in table.items():
            for phrase in phrases:
                words = texts(phrase.lower())
                heads.setdefault(words[0], {}).setdefault(words, []).append(symbol)
        ordered = {head: _rows(rows) for head, rows in heads.items()}
        return cls(ordered, {pair: rows for head, every in ordered.items() for pair, rows in _pairs(head, every)})

    def listed(self) -> Iterator[tuple[tuple[str, ...], str]]:
        """Every phrase with each of its symbols."""
        return ((phrase, symbol) for rows in self.heads.values() for phrase, every in rows for _, symbol in every)

    def words(self) -> frozenset[str]:
        """Every word of every phrase."""
        return frozenset(word for phrase, _ in self.listed() for word in phrase)

    def find(self, words: Sequence[str], at: int) -> tuple[int, str] | None:
        """Length and symbol of the longest phrase that begins at this word."""
        return next(iter(self.every(words, at)), None)

    def every(self, words: Sequence[str], at: int) -> Symbols:
        """The same for each symbol that has this longest phrase."""
        following = words[at + 1] if at + 1 < len(words) else ""
        if self.pairs is None:
            rows = self.heads.get(words[at], ())
        else:
            rows = self.pairs.get((words[at], following)) or self.pairs.get((words[at], ""), ())
        for phrase, symbols in rows:
            size = len(phrase)
            if size == 1 or (phrase[1] == following and tuple(words[at : at + size]) == phrase):
                return symbols
        return ()


def _rows(phrases: Mapping[tuple[str, ...], Sequence[str]]) -> Rows:
    """The phrases of one first word, longest first."""
    longest = sorted(phrases, key=len, reverse=True)
    return tuple((words, tuple((len(words), symbol) for symbol in phrases[words])) for words in longest)


def _pairs(head: str, rows: Rows) -> Iterator[tuple[tuple[str, str], Rows]]:
    """The rows by their second word, each with those of one word at its end."""
    for second in {"", *(phrase[1] for phrase, _ in rows if phrase[1:])}:
        yield (head, second), tuple(row for row in rows if row[0][1:2] in ((), (second,)))


@dataclass(frozen=True, slots=True)
class Item:
    """A number (`value` set), a known phrase (`symbol` set) or a word not in the table (both empty)."""

    words: str
    symbol: str = ""
    value: float | None = None
    figures: bool = False  # written in figures, not in words
    glued: bool = False


def items(text: str, table: Phrases, numbers: Phrases) -> list[Item]:
    """The message as items; a phrase of the table wins over a number word unless the number is longer."""
    parts = tokens(text)
    words = [part.text for part in parts]
    found: list[Item] = []
    at = 0
    while at < len(parts):
        length, item = _item(parts, words, at, table, numbers)
        found.append(item)
        at += length
    return _joined(found)


def _item(parts: Sequence[Token], words: Sequence[str], at: int, table: Phrases, numbers: Phrases) -> tuple[int, Item]:
    part = parts[at]
    phrase = table.find(words, at)
    if part.digits and (phrase is None or phrase[0] == 1):
        return 1, Item(part.text, value=float(part.text.replace(",", ".")), figures=True, glued=part.glued)
    number = numbers.find(words, at)
    if number and (phrase is None or number[0] > phrase[0] or len(parts) == 1):
        return number[0], Item(" ".join(words[at : at + number[0]]), value=float(number[1]), glued=part.glued)
    if phrase:
        return phrase[0], Item(" ".join(words[at : at + phrase[0]]), symbol=phrase[1], glued=part.glued)
    return 1, Item(part.text, glued=part.glued)


def _joined(found: list[Item]) -> list[Item]:
    """Numbers made of several items: two and a half, 2 1/2, 3 point 5, .5, three hundred."""
    out: list[Item] = []
    for item in found:
        out.append(item)
        if item.value is not None or item.symbol == "half":
            used, value = _merge(out[-4:])
            if used:
                out[-used:] = [_sum(out[-used:], value)]
    return out


def _merge(tail: Sequence[Item]) -> tuple[int, float]:
    """How many of the last items make one number, and which; (0, 0) for none."""
    match tail:
        case [*_, Item(value=float(whole)), Item(symbol="half")]:
            return 2, whole + 0.5
        case [Item(value=float(whole)), Item(words="1"), Item(words="/"), Item(words="2")]:
            return 4, whole + 0.5
        case [*_, Item(value=float(whole)), Item(symbol="point"), Item(value=float(part))]:
            return 3, float(f"{whole:.0f}.{part:.0f}")
        case [*_, Item(value=float(few)), Item(value=100.0, figures=False)]:
            return 2, few * 100
        case [*before, Item(words="."), Item(glued=True, figures=True) as part] if _tenths(before, part):
            return 2, float(f"0.{part.words}")
        case _:
            return 0, 0.0


def _tenths(before: Sequence[Item], part: Item) -> bool:
    """ ".5" at the start or after a word."""
    return part.words.isdecimal() and (not before or before[-1].value is None)


def _sum(group: Sequence[Item], value: float) -> Item:
    return Item(" ".join(item.words for item in group), value=value, figures=group[0].figures, glued=group[0].glued)
