"""A message as words for flag finding: sentences, clauses, repaired spelling; it never drops a word."""

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.tokens import texts

SENTENCE = ".!?;"
ENDINGS = frozenset({"t", "not"})
_LEET = str.maketrans("013457$@", "oieastsa")
_MIXED = re.compile(r"(?<![a-z])[a-z]+[0-9$@][a-z]+")
_INSIDE = re.compile(r"[0-9$@](?<=[a-z].)(?=[a-z])")  # such a word is there: found three times as fast
_SPELT = re.compile(r"\b(?:[a-z][ .-]){2,}[a-z]\b")
_SHORTEST_RUN = 4  # letters of words run together, as in "feltapop"
_LONGEST_WORD = 24


class Words(NamedTuple):
    """Words as corrected, as written, and for each the numbers of its sentence and clause."""

    fixed: tuple[str, ...]
    written: tuple[str, ...]
    sentence: tuple[int, ...]
    clause: tuple[int, ...]
    breaks: tuple[str, ...]  # the sign before each word, "" for none
    closing: str  # the sign after the last word

    def together(self, first: int, last: int) -> bool:
        """True when both words stand in one sentence."""
        return self.sentence[first] == self.sentence[last]

    def quote(self, start: int, end: int) -> str:
        """The words as the athlete wrote them."""
        return " ".join(self.written[start:end])

    def sentences(self) -> list[tuple[int, int]]:
        """Where each sentence begins and ends."""
        numbers = self.sentence
        if not numbers or numbers[0] == numbers[-1]:
            return [(0, len(numbers))] if numbers else []
        starts = [at for at, number in enumerate(numbers) if at == 0 or number != numbers[at - 1]]
        return list(pairwise([*starts, len(numbers)]))

    def left(self, start: int, end: int, silent: set[int], lexicon: Lexicon) -> tuple[list[str], list[str]]:
        """Words and tags of a part without the silent ones, each run of which leaves one mark."""
        words, tags = [], []
        for at in range(start, end):
            word = self.fixed[at]
            if at not in silent:
                figure = word[0].isdigit()
                words.append("0" if figure else word)
                # as Lexicon.tag, but that unlisted words are the second net's
                tags.append(lexicon.tags.get(word) or ("#" if figure and word not in lexicon.known else "."))
            elif at == start or at - 1 not in silent:
                words.append("~")
                tags.append("~")
        return words, tags


def words(text: str, lexicon: Lexicon) -> Words:
    """The words of a cleaned text, each repaired by at most one edit and only when it is no known word."""
    if _INSIDE.search(text):
        text = _MIXED.sub(lambda m: _deleet(m[0], lexicon), text)
    text = _SPELT.sub(lambda m: re.sub(r"[ .-]", "", m[0]), text)
    fixed: list[str] = []
    written: list[str] = []
    sentences: list[int] = []
    clauses: list[int] = []
    signs: list[str] = []
    sentence = clause = 0
    sign = ""
    for part in texts(text):
        plain = part in lexicon.plain
        if not plain and not part[0].isalnum() and part not in lexicon.spellings:
            clause, sign = clause + 1, part
            sentence += part in SENTENCE
            continue
        for word in (part,) if plain else _repaired(part, lexicon):
            if word in ENDINGS and fixed and _belongs(word, fixed[-1]):
                fixed[-1] += "t"
                written[-1] += f" {part}"
            else:
                fixed.append(word)
                written.append(part)
                sentences.append(sentence)
                clauses.append(clause)
                signs.append(sign)
            sign = ""
    return Words(tuple(fixed), tuple(written), tuple(sentences), tuple(clauses), tuple(signs), sign)


def _belongs(word: str, before: str) -> bool:
    """ "can t" and "can not" are one word, as in "can't"."""
    return (word == "t" and before[-1:] == "n") or (word == "not" and before == "can")


def _deleet(word: str, lexicon: Lexicon) -> str:
    plain = word.translate(_LEET)
    return plain if plain in lexicon.known else word


def _repaired(word: str, lexicon: Lexicon) -> Sequence[str]:
    if word in lexicon.spellings:
        return lexicon.spellings[word].split()
    if word in lexicon.known or word[0].isdigit() or len(word) > _LONGEST_WORD:
        return (word,)
    if (fixed := lexicon.speller.fix(word)) is not None:
        return (fixed,)
    return _cut(word, lexicon) or (word,)


def _cut(word: str, lexicon: Lexicon) -> Sequence[str]:
    """Words run together: cut only into known words of which one can mean a flag."""
    if len(word) < _SHORTEST_RUN:
        return ()
    best: dict[int, Sequence[str]] = {0: ()}  # the letters that known words can cover, and which words
    for end in range(1, len(word) + 1):
        for start, before in best.items():
            piece = word[start:end]
            if piece in lexicon.known and (len(piece) > 1 or piece in "ai"):
                best[end] = [*before, piece]
                break
    cut = best.get(len(word), ())
    return cut if len(cut) > 1 and any(piece in lexicon.risky for piece in cut) else ()
