"""The flag lexicon of one language, built from plain data: patterns, scopes, known words; it judges nothing.

A pattern is words with `{class}` for any word of a class, `(a|b)` for either, `?` after what may be absent, `~` for up
to three words of any kind (`~5` for up to five). A long pattern may run on over lines after a `|`. Scope phrases are
written the same way, without `~`; they may also name the words under `lists`.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import product
from operator import and_, or_
from typing import Any

from coachbot.core.reading.learned import Net
from coachbot.core.reading.spelling import Speller
from coachbot.core.reading.tokens import Phrases

GAP = 3  # words that `~` may stand for (common practice, no source)
FILTERS = 2  # necessary words looked for before a pattern is tried; more cost more than they save (measured)
_PART = re.compile(r"\([^)]*\)\??|\S+")


@dataclass(frozen=True, slots=True)
class Element:
    """One place of a pattern: a set of words, or a gap of up to `gap` words."""

    words: frozenset[str]
    optional: bool = False
    gap: int = 0


@dataclass(frozen=True, slots=True)
class Pattern:
    """A sequence of elements that means `symbol`; the first element is always a set of words."""

    symbol: str
    elements: tuple[Element, ...]
    sure: bool  # so plain that it alerts whatever the learned net makes of the rest
    loose: bool  # it has a gap between its words
    needed: tuple[frozenset[str], ...]  # of each, one word must be in the message; fewest words first
    second: frozenset[str]  # what must stand next to the first word; empty when that depends

    @classmethod
    def of(cls, symbol: str, elements: tuple[Element, ...], sure: bool) -> "Pattern":
        """With what can be told beforehand: whether it is loose, and its necessary words."""
        necessary = [element.words for element in elements if element.words and not element.optional]
        loose = any(element.gap for element in elements[:-1])
        fixed = len(elements) > 1 and not elements[1].optional
        second = elements[1].words if fixed else frozenset()
        return cls(symbol, elements, sure, loose, tuple(sorted(necessary[1:], key=len)), second)


@dataclass(frozen=True, slots=True)
class Masks:
    """For each word one number whose bits are the patterns that it may serve; `spare` are those that need none."""

    bits: Mapping[str, int]
    spare: int

    @classmethod
    def of(cls, places: Sequence[frozenset[str]]) -> "Masks":
        """From the words that serve each pattern at one place; an empty set for a pattern that has no such place."""
        found: dict[str, int] = {}
        for at, words in enumerate(places):
            for word in words:
                found[word] = found.get(word, 0) | 1 << at
        return cls(found, sum(1 << at for at, words in enumerate(places) if not words))


@dataclass(frozen=True, slots=True)
class Patterns:
    """All patterns; bits tell in a few steps which of them can begin at a word, and only those are tried."""

    patterns: tuple[Pattern, ...]
    barriers: frozenset[str]  # words that no gap may pass: "pain but nothing sharp" is not "pain ... sharp"
    reach: int  # words that the longest of them can cover
    first: Masks
    second: Masks
    needed: Mapping[str, tuple[int, ...]]  # for each of a few necessary words the patterns that this word serves
    needless: tuple[int, ...]  # the patterns that have no such word

    @classmethod
    def of(cls, patterns: Sequence[Pattern], barriers: Iterable[str]) -> "Patterns":
        """With the bits of each word."""
        needed = [Masks.of([frozenset().union(*p.needed[at : at + 1]) for p in patterns]) for at in range(FILTERS)]
        words = {word for masks in needed for word in masks.bits}
        serving = {word: tuple(masks.bits.get(word, 0) for masks in needed) for word in words}
        first = Masks.of([p.elements[0].words for p in patterns])
        second = Masks.of([p.second for p in patterns])
        reach = max((sum(element.gap or 1 for element in p.elements) for p in patterns), default=1)
        return cls(tuple(patterns), frozenset(barriers), reach, first, second, serving, tuple(m.spare for m in needed))

    def every(self, words: Sequence[str], stops: Sequence[int]) -> Iterator[tuple[Pattern, int, int]]:
        """Each pattern found with its start and end; a pattern that begins at a word ends by that word's stop."""
        likely = renew = 0
        for start, word in enumerate(words):
            here, stop = self.first.bits.get(word, 0), stops[start]
            if here:
                if start >= renew:
                    renew = min(stop, start + self.reach)
                    likely = self._likely(frozenset(words[start : min(stop, renew + self.reach)]))
                following = words[start + 1] if start + 1 < stop else ""
                here &= likely & (self.second.bits.get(following, 0) | self.second.spare)
            while here:
                pattern = self.patterns[(here & -here).bit_length() - 1]
                here &= here - 1
                end = self._end(pattern.elements, 1, words, start + 1, stop)
                if end is not None:
                    yield pattern, start, end

    def _likely(self, present: frozenset[str]) -> int:
        """The patterns whose rarest necessary words are there."""
        masks = self.needless
        for word in present:
            if serving := self.needed.get(word):
                masks = tuple(map(or_, masks, serving))
        return reduce(and_, masks)

    def _end(self, elements: Sequence[Element], at: int, words: Sequence[str], place: int, stop: int) -> int | None:
        for here in range(at, len(elements)):
            element = elements[here]
            if element.gap:
                return self._after_gap(elements, here, words, place, stop)
            if place < stop and words[place] in element.words:
                if not element.optional:
                    place += 1
                elif (end := self._end(elements, here + 1, words, place + 1, stop)) is not None:
                    return end
            elif not element.optional:
                return None
        return place

    def _after_gap(
        self, elements: Sequence[Element], at: int, words: Sequence[str], place: int, stop: int
    ) -> int | None:
        if at + 1 == len(elements):
            return place
        wanted = frozenset() if elements[at + 1].optional else elements[at + 1].words
        for here in range(place, min(place + elements[at].gap, stop) + 1):
            word = words[here] if here < stop else ""
            if not wanted or word in wanted:
                end = self._end(elements, at + 1, words, here, stop)
                if end is not None:
                    return end
            if word in self.barriers:
                return None
        return None


@dataclass(frozen=True, slots=True)
class Lexicon:
    """All that finding flags needs in one language."""

    patterns: Patterns
    scopes: Phrases
    emergencies: frozenset[str]  # flags of the emergency tier
    always_asked: frozenset[str]  # of these only a plain denial takes a word back
    small: Mapping[str, frozenset[str]]  # no: answers by themselves; or: ends a list; pointer: names no part
    spellings: Mapping[str, str]
    known: frozenset[str]
    plain: frozenset[str]  # known words that stay as they are written
    risky: frozenset[str]
    tags: Mapping[str, str]
    speller: Speller
    net: Net | None
    line: float  # the learned score above which the coach asks
    agree: float  # below it same-day words ask instead of alerting at once
    agree_emergency: float  # the same for words of the emergency tier
    strong: float  # from this pain score on a plain answer may still raise a doubt
    jumped: float  # the same for a number that is compared with another day
    top: float  # the highest pain score; greater numbers are no pain
    line_meaning: float  # the line when the meaning of the message counts too
    weight_meaning: float  # what a score of meaning counts beside the learned score
    sense: Callable[[str], float] | None = None  # a score of what a text means, when that is switched on

    def tag(self, word: str) -> str:
        """The class of a word, "." for another known word, "?" for one that nobody listed."""
        return self.tags.get(word) or ("." if word in self.known else "#" if word[0].isdigit() else "?")

    @classmethod
    def from_data(cls, data: Mapping[str, Any], weights: bytes = b"") -> "Lexicon":
        """From the `flags` data of a language folder; `weights` is the learned net, if any."""
        classes = {name: frozenset(words) for name, words in data["classes"].items()}
        found = [
            Pattern.of(symbol, elements, table == "sure")
            for table in ("flags", "sure", "ask", "harmless") for symbol, texts in data[table].items()
            for text in texts for elements in _compiled(text.replace("| ", "|"), classes)
        ]  # fmt: skip
        risky = frozenset(word for p in found if p.symbol != "harmless" for e in p.elements for word in e.words)
        lists = classes | {name: frozenset(words) for name, words in data.get("lists", {}).items()}
        scopes = Phrases.from_data({
            symbol: [phrase for text in texts for phrase in _phrases(text, lists)]
            for symbol, texts in data["scopes"].items()
        })  # fmt: skip
        keep = frozenset(data["known"])
        known = keep | risky | scopes.words() | {w for p in found for e in p.elements for w in e.words}
        return cls(
            patterns=Patterns.of(found, data["barriers"]),
            scopes=scopes,
            emergencies=frozenset(data["emergencies"]),
            always_asked=frozenset(data["always_asked"]),
            small={name: frozenset(words) for name, words in data["small"].items()},
            spellings=dict(data["spellings"]),
            known=known,
            plain=frozenset(word for word in known if word[0].isalnum()).difference(data["spellings"]),
            risky=risky,
            tags=_tags(data["classes"]),
            speller=Speller.from_words(risky),
            net=Net.from_bytes(weights) if weights else None,
            line=float(data["line"]),
            agree=float(data["agree"]),
            agree_emergency=float(data["agree_emergency"]),
            strong=float(data["strong"]),
            jumped=float(data["jumped"]),
            top=float(data["top"]),
            line_meaning=float(data["line_meaning"]),
            weight_meaning=float(data["weight_meaning"]),
        )


def _tags(classes: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """The first class a word stands in: "calf" and "thigh" look alike to the learned net."""
    return {word: name for name in reversed(list(classes)) for word in classes[name]}


def _compiled(text: str, classes: Mapping[str, frozenset[str]]) -> Iterator[tuple[Element, ...]]:
    """The places of the pattern, and once more for each choice of several words within brackets."""
    for parts in product(*(_choices(part) for part in _PART.findall(text))):
        elements = tuple(_element(word, classes) for part in parts for word in part.split())
        if elements[0].optional or elements[0].gap:
            raise ValueError(f"a pattern must begin with a word: {text!r}")
        yield elements


def _choices(part: str) -> list[str]:
    if " " not in part:
        return [part]
    mark = "?" if part.endswith("?") else ""
    words = part.rstrip("?").strip("()").split("|")
    short = "|".join(word for word in words if " " not in word)
    return [word for word in words if " " in word] + ([f"({short}){mark}"] if short else [""] if mark else [])


def _phrases(text: str, lists: Mapping[str, frozenset[str]]) -> Iterator[str]:
    """A scope phrase written with choices, once for each of them."""
    return (
        " ".join(filter(None, words)) for words in product(*(_options(part, lists) for part in _PART.findall(text)))
    )


def _options(part: str, lists: Mapping[str, frozenset[str]]) -> list[str]:
    choices = [choice for word in part.rstrip("?").strip("()").split("|") for choice in _class(word, lists)]
    return choices + ([""] if part.endswith("?") else [])


def _element(part: str, classes: Mapping[str, frozenset[str]]) -> Element:
    if part.startswith("~"):
        return Element(frozenset(), gap=int(part[1:] or GAP))
    optional = part.endswith("?")
    words = part.rstrip("?").strip("()").split("|")
    choice = frozenset(w for word in words for w in _class(word, classes))
    return Element(choice, optional)


def _class(word: str, classes: Mapping[str, frozenset[str]]) -> frozenset[str]:
    return classes[word.strip("{}")] if word.startswith("{") else frozenset({word})
