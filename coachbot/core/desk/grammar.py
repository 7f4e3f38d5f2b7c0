"""Reads a clinician's line without fixed syntax: which act, and what follows it; it carries nothing out.

The words of the acts are data of each language (``acts.yaml``). One slip of the keyboard in a phrase is forgiven; a
line that may mean several acts means none.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from coachbot.core.book import Handbook
from coachbot.core.reading.spelling import SHORTEST, one_edit

Table = Mapping[str, Sequence[str]]
"""Phrases by meaning."""
_PIECE = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+(?:['.][^\W\d_]+)*|%")
_EDGE = " ,;:.-–—!"


@dataclass(frozen=True)
class Piece:
    """One word or number of a line, in lower case, and where it stands."""

    text: str
    start: int
    end: int


@dataclass(frozen=True)
class Find:
    """One meaning found at the beginning of what is left: how many pieces it took, and whether without a slip."""

    key: str
    length: int
    exact: bool


@dataclass(frozen=True)
class Rest:
    """What is left of a line to be read; `words` are those of the language that help reading it."""

    line: str
    pieces: tuple[Piece, ...]
    words: Mapping[str, Sequence[str]]

    @classmethod
    def of(cls, line: str, words: Mapping[str, Sequence[str]]) -> "Rest":
        """The whole line, courtesies at its beginning left out."""
        rest = cls(line, tuple(_pieces(line)), words)
        return rest.past(words["please"])

    @property
    def note(self) -> str:
        """What is left as it was written, without the word "because" before it."""
        rest = self.past(self.words["because"], skipping=False)
        return rest.line[rest.pieces[0].start :].strip(_EDGE) if rest.pieces else ""

    def past(self, phrases: Collection[str], *, skipping: bool = True) -> "Rest":
        """What follows any of these phrases, however often they stand here; a slip is not forgiven."""
        rest = self
        while found := [f for f in rest._finds({"": tuple(phrases)}, skipping=skipping) if f.exact]:
            rest = rest._after(max(f.length for f in found))
        return rest

    def finds(self, table: Table) -> list[Find]:
        """The best meanings at the beginning: the longest, without a slip if there is one; several when unclear."""
        found = self._finds(table, skipping=True)
        if not found:
            return []
        best = max((f.length, f.exact) for f in found)
        kept = {f.key: f for f in found if (f.length, f.exact) == best}
        return list(kept.values())

    def take(self, table: Table) -> tuple[str | None, "Rest"]:
        """The one meaning at the beginning and what follows; None when there is none or it is unclear."""
        found = self.finds(table)
        return (found[0].key, self._after(found[0].length)) if len(found) == 1 else (None, self)

    def take_all(self, table: Table) -> tuple[tuple[str, ...], "Rest"]:
        """All meanings that follow one another, "and" left out; a phrase of several meanings gives them all."""
        taken: list[str] = []
        rest = self
        while found := rest.past(self.words["and"]).finds(table):
            taken += [f.key for f in found]
            rest = rest.past(self.words["and"])._after(found[0].length)
        return tuple(dict.fromkeys(taken)), rest

    def number(self, *, units: bool = True) -> tuple[float | None, "Rest"]:
        """The number at the beginning, and what follows it and its unit."""
        rest = self.past(self.words["small"], skipping=False)
        if not rest.pieces or not rest.pieces[0].text[0].isdigit():
            return None, self
        after = rest._after(1)
        value = float(rest.pieces[0].text.replace(",", "."))
        return value, after.past(self.words["units"], skipping=False) if units else after

    def anywhere(self, table: Table) -> list[str]:
        """Every meaning whose exact phrase stands somewhere in the line: what may have been meant."""
        found = [f.key for at in range(len(self.pieces)) for f in self._after(at).finds(table) if f.exact]
        return list(dict.fromkeys(found))

    def where(self, phrases: Sequence[str]) -> "Rest | None":
        """The rest from the first of these phrases on, None when none stands in it."""
        starts = (self._after(at) for at in range(len(self.pieces)))
        return next((rest for rest in starts if rest.take({"": phrases})[0] is not None), None)

    def after(self, find: Find) -> "Rest":
        """What follows a meaning found."""
        return self._after(find.length)

    def _after(self, count: int) -> "Rest":
        return replace(self, pieces=self.pieces[count:])

    def _finds(self, table: Table, *, skipping: bool) -> list[Find]:
        small = frozenset(self.words["small"]) if skipping else frozenset[str]()
        known = frozenset(word for phrases in table.values() for phrase in phrases for word in _split(phrase))
        known |= frozenset(self.words["opening"])
        found = []
        for key, phrases in table.items():
            for phrase in phrases:
                length, slips = _match([p.text for p in self.pieces], _split(phrase), small, known)
                if length:
                    found.append(Find(key, length, not slips))
        return found


def _pieces(line: str) -> Iterator[Piece]:
    return (Piece(m[0].lower().removesuffix("'s"), m.start(), m.end()) for m in _PIECE.finditer(line.replace("’", "'")))


@lru_cache(maxsize=4096)
def _split(phrase: str) -> tuple[str, ...]:
    return tuple(piece.text for piece in _pieces(phrase))


def _match(
    words: Sequence[str], phrase: Sequence[str], small: frozenset[str], known: frozenset[str]
) -> tuple[int, int]:
    """How many words the phrase takes here (0: it is not here), and its slips; small words may stand between.

    A known word is no slip of another: "stop" must never be read as "step".
    """
    at = slips = 0
    for wanted in phrase:
        while at < len(words) and words[at] != wanted and words[at] in small:
            at += 1
        if at == len(words):
            return 0, 0
        if words[at] != wanted:
            slips += 1
            if slips > 1 or len(wanted) < SHORTEST or words[at] in known or not one_edit(words[at], wanted):
                return 0, 0
        at += 1
    return at, slips


@dataclass(frozen=True)
class Order:
    """A line as read: the act, or the acts it may mean when that is not clear, and what follows.

    `exact`: no slip of the keyboard was forgiven in the words of the act.
    """

    act: str | None
    may_mean: tuple[str, ...]
    rest: Rest
    language: str
    exact: bool = True


def read(line: str, book: Handbook, fits: Mapping[str, str]) -> Order:
    """The order of a line, the athlete's name taken out of it.

    `fits` names, for acts that share a phrase ("set", "change"), the table with which what follows must begin.
    """
    orders = [_read(line, book, fits, code) for code in book_languages(book)]
    return next((each for each in orders if each.act), orders[0])


def _read(line: str, book: Handbook, fits: Mapping[str, str], code: str) -> Order:
    rest = Rest.of(line, words(book, code))
    found = rest.finds(acts(book, code))
    if len(found) > 1:
        found = [f for f in found if f.key in fits and _fits(rest.after(f), table(book, code, fits[f.key]))] or found
    if len(found) == 1 and not _asked(line, found[0].key, rest.words):
        return Order(found[0].key, (), rest.after(found[0]), code, found[0].exact)
    turned = None if found else _turned(rest, book, fits, code)
    if turned and turned.act and not _asked(line, turned.act, rest.words):
        return turned
    meant = tuple(f.key for f in found) or tuple(rest.anywhere(acts(book, code)))
    return Order(None, meant, rest, code)


def _fits(rest: Rest, what: Table) -> bool:
    """Whether what an act needs follows here, or after its number ("3 pain limit")."""
    return bool(rest.finds(what) or rest.number()[1].finds(what))


def _turned(rest: Rest, book: Handbook, fits: Mapping[str, str], code: str) -> Order | None:
    """An act that follows what it is about ("slider step up"), or is one of its words ("pain limit 3")."""
    orders = []
    for act, name in fits.items():
        about = [f for f in rest.finds(table(book, code, name)) if f.exact]
        after = rest.after(about[0]) if len(about) == 1 else rest
        found = [f for f in after.finds(acts(book, code)) if f.exact] if about else []
        if [f.key for f in found] == [act]:
            kept = rest.pieces[: about[0].length] + after.after(found[0]).pieces
            orders.append(Order(act, (), replace(rest, pieces=kept), code))
        elif about and after.number()[0] is not None and _within(rest, about[0], acts(book, code)[act]):
            orders.append(Order(act, (), rest, code))
    return orders[0] if len(orders) == 1 else None


def _within(rest: Rest, about: Find, phrases: Sequence[str]) -> bool:
    """Whether one of these phrases is among the words found."""
    named = replace(rest, pieces=rest.pieces[: about.length])
    return "" in named.anywhere({"": phrases})


def _asked(line: str, act: str, words: Mapping[str, Sequence[str]]) -> bool:
    """Whether the line is a question about an act and not the act."""
    return line.rstrip().endswith("?") and act not in words["asking"]


@lru_cache(maxsize=4)
def book_languages(book: Handbook) -> tuple[str, ...]:
    """The languages in which clinicians may write."""
    return tuple(code for code, texts in book.texts.items() if texts.acts)


def acts(book: Handbook, code: str) -> Table:
    """The phrases of every act."""
    return book.texts[code].acts["acts"]


def words(book: Handbook, code: str) -> Mapping[str, Sequence[str]]:
    """The small words of a language."""
    return book.texts[code].acts["words"]


def table(book: Handbook, code: str, name: str) -> Table:
    """The phrases of what may follow an act: families, items, numbers, days, modes."""
    tables = book.texts[code].acts
    match name:
        case "days":
            everything = dict.fromkeys(book.texts[code].choices["days"], book.texts[code].choices["many"]["all"])
            return _joined(book.texts[code].choices["days"], everything)
        case "numbers":
            return _joined(tables["numbers"], {key: (key,) for key in book.numbers})
        case "items":
            return _joined(tables["families"], tables["items"])
        case _:
            return tables[name]


def _joined(*several: Table) -> Table:
    keys: Iterable[str] = dict.fromkeys(key for each in several for key in each)
    return {key: tuple(phrase for each in several for phrase in each.get(key, ())) for key in keys}
