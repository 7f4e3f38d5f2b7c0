"""Finds in a person's line a word that may be the name of somebody who is no athlete here; it carries nothing out.

Without it a line about a stranger would reach the only athlete there is. Whatever it does not know counts as a name.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from coachbot.core.book import Handbook

from .address import EDGES, JOINTS, plain
from .grammar import Rest, table, words

ENDS = ".!?:"
"""Signs after which a capital is only the beginning of a sentence."""
TABLES = ("families", "items", "modes", "numbers", "days", "everyone")
"""What may follow an act, as acts.yaml names it."""
MONTHS = 12


@dataclass(frozen=True)
class Vocabulary:
    """The coach's own words, all words that the language lists, and the months, which are names too."""

    own: frozenset[str]
    listed: frozenset[str]
    months: frozenset[str]

    @classmethod
    def of(cls, book: Handbook, code: str, known: Collection[str]) -> "Vocabulary":
        """The words of a language; `known` are ids of people and alerts. Unprepared, a language lists nothing."""
        own = frozenset(_own(book, code)) | {each.lower() for each in known}
        language, texts = book.languages.get(code), book.texts[code].entries
        listed = language.plain if language else frozenset[str]()
        if language and language.lexicon:
            listed |= language.lexicon.known
        return cls(own, own | listed, frozenset(plain(str(texts[f"month.{n}"])) for n in range(1, MONTHS + 1)))

    def strange(self, said: Sequence[str], at: int, *, strict: bool) -> bool:
        """Whether the word at this place may be a name; `strict`: only the coach's own words are none."""
        word, before = said[at], said[max(at - 1, 0) : at]
        if _figure(word) or plain(word) in self.own:
            return False
        if plain(word) in self.months:
            return not any(map(_figure, (*before, *said[at + 1 : at + 2])))
        capital = word[:1].isupper() and not (before and before[0][-1] in ENDS)
        return strict or capital or plain(word) not in self.listed


def stranger(rest: Rest, vocabulary: Vocabulary) -> str:
    """The first word after an act that may be a name, as it was written; "" when there is none.

    Where a name would stand only the coach's own words pass, since "will" and "mark" are names too. Further on every
    word that the language lists passes, unless it has a capital for no reason.
    """
    place = rest.past((*rest.words["small"], *rest.words["because"]), skipping=False)
    said = place.line[place.pieces[0].start :].split() if place.pieces else []
    return next((said[at].strip(EDGES) for at in range(len(said)) if vocabulary.strange(said, at, strict=not at)), "")


def joined(after: str, vocabulary: Vocabulary) -> str:
    """The stranger whom "and" joins to the athlete that was named just before; "" when there is none."""
    said = after.split()
    if len(said) <= 1 or plain(said[0]) not in JOINTS:
        return ""
    return said[1].strip(EDGES) if vocabulary.strange(said, 1, strict=False) else ""


def namesake(named: str, after: str, name: str, vocabulary: Vocabulary) -> str:
    """The other surname that follows a part of an athlete's name ("Maria Bianchi" for Maria Rossi); "" for none."""
    said = after.split()
    part = len(name.split()) > 1 and named.lower() in name.lower().split()  # "Maria's" and "Maria:" end a name
    return said[0].strip(EDGES) if part and said and vocabulary.strange(said, 0, strict=False) else ""


def _figure(word: str) -> bool:
    """Numbers, dates and doses; and signs alone."""
    return any(c.isdigit() for c in word) or not any(c.isalpha() for c in word)


def _own(book: Handbook, code: str) -> Iterator[str]:
    """The words by which a reason or a note may begin, and all that may follow an act."""
    small: Iterable[str] = (phrase for phrases in words(book, code).values() for phrase in phrases)
    after = (phrase for name in TABLES for phrases in table(book, code, name).values() for phrase in phrases)
    tests = (key.removeprefix("tests.") for key in book.numbers if key.startswith("tests."))
    for phrase in (*small, *after, *tests):
        yield from (plain(word) for word in (*phrase.split(), *phrase.replace("-", " ").split()))
