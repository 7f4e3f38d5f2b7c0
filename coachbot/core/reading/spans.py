"""A message as words for flag finding: sentences, clauses, repaired spelling; it never drops a word."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from coachbot.core.reading.lexicon import Lexicon
from coachbot.core.reading.tokens import tokens

SENTENCE = ".!?;"
_LEET = str.maketrans("013457$@", "oieastsa")
_MIXED = re.compile(r"[a-z]+[0-9$@][a-z]+")
_SPELT = re.compile(r"\b(?:[a-z][ .-]){2,}[a-z]\b")
_SHORTEST_RUN = 4  # letters of words run together, as in "feltapop"
_LONGEST_WORD = 24


@dataclass(frozen=True, slots=True)
class Words:
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
        starts = [at for at, number in enumerate(self.sentence) if at == 0 or number != self.sentence[at - 1]]
        return list(pairwise([*starts, len(self.sentence)]))

    def left(self, start: int, end: int, silent: set[int], lexicon: Lexicon) -> tuple[list[str], list[str]]:
        """Words and tags of a part without the silent ones, each run of which leaves one mark."""
        words, tags = [], []
        for at in range(start, end):
            word = self.fixed[at]
            if at not in silent:
                words.append("0" if word[0].isdigit() else word)
                tags.append(lexicon.tag(word).replace("?", "."))  # unlisted words are the second net's
            elif at == start or at - 1 not in silent:
                words.append("~")
                tags.append("~")
        return words, tags


def words(text: str, lexicon: Lexicon) -> Words:
    """The words of a cleaned text, each repaired by at most one edit and only when it is no known word."""
    text = _MIXED.sub(lambda m: _deleet(m[0], lexicon), text)
    text = _SPELT.sub(lambda m: re.sub(r"[ .-]", "", m[0]), text)
    fixed: list[str] = []
    written: list[str] = []
    places: list[tuple[int, int, str]] = []
    sentence = clause = 0
    sign = ""
    for token in tokens(text):
        if not token.text[0].isalnum() and token.text not in lexicon.spellings:
            clause, sign = clause + 1, token.text
            sentence += token.text in SENTENCE
            continue
        for word in _repaired(token.text, lexicon):
            fixed.append(word)
            written.append(token.text)
            places.append((sentence, clause, sign))
            sign = ""
    return _joined(fixed, written, places, sign)


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
    best: list[Sequence[str] | None] = [()] + [None] * len(word)
    for end in range(1, len(word) + 1):
        for start in range(end):
            before, piece = best[start], word[start:end]
            if before is not None and piece in lexicon.known and (len(piece) > 1 or piece in "ai"):
                best[end] = [*before, piece]
                break
    cut = best[-1]
    return cut if cut is not None and len(cut) > 1 and any(piece in lexicon.risky for piece in cut) else ()


def _joined(fixed: list[str], written: list[str], places: list[tuple[int, int, str]], closing: str) -> Words:
    """ "can t" and "can not" are one word, as in "can't"."""
    at = 1
    while at < len(fixed):
        ending = fixed[at]
        if (ending == "t" and fixed[at - 1][-1:] == "n") or (ending == "not" and fixed[at - 1] == "can"):
            fixed[at - 1 : at + 1] = [fixed[at - 1] + "t"]
            written[at - 1 : at + 1] = [f"{written[at - 1]} {written[at]}"]
            del places[at]
        at += 1
    sentences, clauses, signs = zip(*places, strict=True) if places else ((), (), ())
    return Words(tuple(fixed), tuple(written), sentences, clauses, signs, closing)
