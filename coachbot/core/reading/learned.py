"""The learned net: hashed word and letter n-grams with trained whole-number weights; it may only make the coach ask."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple
from zlib import crc32

BUCKETS = 1 << 16  # one signed byte each: the weights file is 64 KB
LETTERS = (3, 4, 5)  # lengths of letter n-grams
LONGEST = 40  # letters of a word that are looked at; longer ones are no words
_SIGN = 128  # a stored byte minus this is the weight


class _Word(NamedTuple):
    """What of a word is the same wherever it stands; the sums go on into a word that follows."""

    own: tuple[int, ...]  # buckets of the word and its letters
    bytes: bytes
    beside: int  # sum of "word "
    apart: int  # sum of "word _ "

    @classmethod
    def of(cls, word: str, own: Iterable[int] = ()) -> "_Word":
        """With the sums; the ends of a sentence have no buckets of their own."""
        return cls(tuple(own), word.encode(), crc32(f"{word} ".encode()), crc32(f"{word} _ ".encode()))


_START, _END = _Word.of("^"), _Word.of("$")


def features(words: Sequence[str], tags: Sequence[str]) -> list[int]:
    """Bucket numbers of words, pairs, words two apart, letter n-grams, and runs of tags (word classes)."""
    own: list[int] = []
    pairs: list[int] = []
    apart: list[int] = []
    before, last = None, _START
    for word in (*map(_word, words), _END):
        own += word.own
        pairs.append(crc32(word.bytes, last.beside) % BUCKETS)
        if before is not None:
            apart.append(crc32(word.bytes, before.apart) % BUCKETS)
        before, last = last, word
    found = own + pairs + apart
    for run in zip(("^", *tags), (*tags, "$"), (*tags, "$", "")[1:], strict=True):
        found += _run(run)
    return found


@lru_cache(maxsize=8_192)
def _word(word: str) -> _Word:
    """Kept, since messages share most of their words."""
    edged = f"<{word[:LONGEST]}>"
    parts = [word, *(f"#{edged[at : at + n]}" for n in LETTERS for at in range(len(edged) - n + 1))]
    return _Word.of(word, (crc32(part.encode()) % BUCKETS for part in parts))


@lru_cache(maxsize=8_192)
def _run(tags: tuple[str, str, str]) -> tuple[int, ...]:
    first, second, third = tags
    runs = [f"@{first} {second}", f"@{first} {second} {third}"] if third else [f"@{first} {second}"]
    return tuple(crc32(run.encode()) % BUCKETS for run in runs)


@dataclass(frozen=True, slots=True)
class Net:
    """Weights by bucket and the bias; above 0 the words look more like a flag than not."""

    weights: bytes
    bias: int

    @classmethod
    def from_bytes(cls, data: bytes) -> "Net":
        """From the file the training script writes: two bytes of bias, then one byte a bucket."""
        if len(data) != BUCKETS + 2:
            raise ValueError(f"a weights file has {BUCKETS + 2} bytes, not {len(data)}")
        return cls(data[2:], int.from_bytes(data[:2], "big", signed=True))

    def score(self, words: Sequence[str], tags: Sequence[str]) -> float:
        """The sum of the weights over the square root of their number: long messages do not drown."""
        found = features(words, tags)
        total = sum(map(self.weights.__getitem__, found)) - _SIGN * len(found)
        return (self.bias + total) / math.sqrt(max(1, len(found)))
