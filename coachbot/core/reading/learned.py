"""The learned net: hashed word and letter n-grams with trained whole-number weights; it may only make the coach ask."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from zlib import crc32

BUCKETS = 1 << 16  # one signed byte each: the weights file is 64 KB
LETTERS = (3, 4, 5)  # lengths of letter n-grams
_SIGN = 128


def features(words: Sequence[str]) -> Iterator[int]:
    """Bucket numbers of the words, pairs of words, words two apart, and letter n-grams inside words."""
    padded = ["^", *words, "$"]
    for first, second in pairwise(padded):
        yield crc32(f"{first} {second}".encode()) % BUCKETS
    for first, third in zip(padded, padded[2:], strict=False):
        yield crc32(f"{first} _ {third}".encode()) % BUCKETS
    for word in words:
        yield crc32(word.encode()) % BUCKETS
        yield from _letters(f"<{word}>")


def _letters(word: str) -> Iterator[int]:
    for size in LETTERS:
        for at in range(len(word) - size + 1):
            yield crc32(f"#{word[at : at + size]}".encode()) % BUCKETS


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

    def score(self, words: Sequence[str]) -> float:
        """The sum of the weights over the square root of their number: long messages do not drown."""
        found = [self.weights[bucket] - _SIGN for bucket in features(words)]
        return (self.bias + sum(found)) / math.sqrt(max(1, len(found)))
