"""The learned net: hashed word and letter n-grams with trained whole-number weights; it may only make the coach ask."""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple
from zlib import crc32

BUCKETS = 1 << 16  # one signed byte each: the weights file is 64 KB
LETTERS = 4  # length of the letter n-grams (tried on writers left out: 3 or 5 beside it bring nothing)
LONGEST = 40  # letters of a word that are looked at; longer ones are no words
_SIGN = 128  # a stored byte minus this is the weight


class _Word(NamedTuple):
    """What of a word is the same wherever it stands."""

    own: tuple[int, ...]  # buckets of the word and its letters
    bytes: bytes
    before: int  # checksum of the word and a space, which goes on into the word that follows

    @classmethod
    def of(cls, word: str, letters: tuple[int, ...] = ()) -> "_Word":
        """With the checksum; the ends of a sentence have no buckets of their own."""
        spelt = word.encode()
        whole = crc32(spelt)
        return cls((whole % BUCKETS, *letters), spelt, crc32(b" ", whole))


_MARK = crc32(b"#")  # letter n-grams share no bucket with a word by the same letters
_START, _END = _Word.of("^"), _Word.of("$")


def features(words: Sequence[str], tags: Sequence[str]) -> list[int]:
    """Bucket numbers of words, pairs, letter n-grams, and runs of tags (word classes)."""
    found = [bucket for word in words for bucket in _word(word).own]
    found += _pairs(words)
    return found + [bucket for run in _runs(tags) for bucket in _run(run)]


def _pairs(words: Sequence[str]) -> list[int]:
    """Buckets of words that stand beside each other, the ends of the sentence among them."""
    found: list[int] = []
    last = _START
    for word in map(_word, words):
        found.append(crc32(word.bytes, last.before) % BUCKETS)
        last = word
    found.append(crc32(_END.bytes, last.before) % BUCKETS)
    return found


def _runs(tags: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    return zip(("^", *tags), (*tags, "$"), (*tags, "$", "")[1:], strict=True)


@lru_cache(maxsize=8_192)
def _word(word: str) -> _Word:
    """Kept, since messages share most of their words."""
    edged = f"<{word[:LONGEST]}>"
    parts = [edged[at : at + LETTERS].encode() for at in range(len(edged) - LETTERS + 1)]
    return _Word.of(word, tuple([crc32(part, _MARK) % BUCKETS for part in parts]))


@lru_cache(maxsize=8_192)
def _run(tags: tuple[str, str, str]) -> tuple[int, ...]:
    first, second, third = tags
    runs = [f"@{first} {second}", f"@{first} {second} {third}"] if third else [f"@{first} {second}"]
    return tuple(crc32(run.encode()) % BUCKETS for run in runs)


class Net:
    """Weights by bucket and the bias; above 0 the words look more like a flag than not."""

    def __init__(self, weights: bytes, bias: int) -> None:
        self.weights = weights
        self.bias = bias
        # What a word or a run of tags brings is the same in every message.
        self._word = lru_cache(maxsize=8_192)(lambda word: self._sum(_word(word).own))
        self._run = lru_cache(maxsize=8_192)(lambda run: self._sum(_run(run)))

    @classmethod
    def from_bytes(cls, data: bytes) -> "Net":
        """From the file the training script writes: two bytes of bias, then one byte a bucket."""
        if len(data) != BUCKETS + 2:
            raise ValueError(f"a weights file has {BUCKETS + 2} bytes, not {len(data)}")
        return cls(data[2:], int.from_bytes(data[:2], "big", signed=True))

    def score(self, words: Sequence[str], tags: Sequence[str]) -> float:
        """The sum of the weights over the square root of their number: long messages do not drown."""
        parts = [self._sum(_pairs(words)), *map(self._word, words), *map(self._run, _runs(tags))]
        totals, counts = zip(*parts, strict=True)
        return float(self.bias + sum(totals)) / math.sqrt(max(1, sum(counts)))

    def _sum(self, buckets: Sequence[int]) -> tuple[int, int]:
        """The sum of the weights, and their number."""
        return sum(map(self.weights.__getitem__, buckets)) - _SIGN * len(buckets), len(buckets)
