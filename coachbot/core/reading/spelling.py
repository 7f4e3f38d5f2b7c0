"""One-edit spelling: optimal string alignment distance 1, same first letter; longer distances correct real words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

SHORTEST = 4  # letters; shorter words have too many real neighbours


def one_edit(word: str, other: str) -> bool:
    """True when one letter changed, added, lost or swapped with its neighbour turns one word into the other."""
    if word == other or abs(len(word) - len(other)) > 1 or word[:1] != other[:1]:
        return False
    if len(word) > len(other):
        word, other = other, word
    at = next((i for i, (a, b) in enumerate(zip(word, other, strict=False)) if a != b), len(word))
    if len(word) < len(other):
        return word[at:] == other[at + 1 :]
    swapped = word[at + 1 : at + 2] + word[at : at + 1] + word[at + 2 :]
    return word[at + 1 :] == other[at + 1 :] or swapped == other[at:]


def _shortened(word: str) -> set[str]:
    return {word[:i] + word[i + 1 :] for i in range(1, len(word))} | {word}


@dataclass(frozen=True, slots=True)
class Speller:
    """Finds the known word one edit away; `near` maps a word with one letter taken out to the known words."""

    near: Mapping[str, tuple[str, ...]]

    @classmethod
    def from_words(cls, words: Iterable[str]) -> "Speller":
        """Built once from the words that must be found, in any order."""
        near: dict[str, list[str]] = {}
        for word in sorted(word for word in words if len(word) >= SHORTEST and word.isalpha()):
            for short in _shortened(word):
                near.setdefault(short, []).append(word)
        return cls({short: tuple(words) for short, words in near.items()})

    def fix(self, word: str) -> str | None:
        """The first known word one edit away, or None; the caller has checked that the word is not a real one."""
        if len(word) < SHORTEST or not word.isalpha():
            return None
        close = {other for short in _shortened(word) for other in self.near.get(short, ()) if one_edit(word, other)}
        return min(close) if close else None
