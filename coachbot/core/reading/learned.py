"""The learned net: hashed word and letter n-grams with trained whole-number weights; it may only make the coach ask."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zlib import crc32

BUCKETS = 1 << 16  # one signed byte each: the weights file is 64 KB
LETTERS = (3, 4, 5)  # lengths of letter n-grams
_SIGN = 128  # a stored byte minus this is the weight


def features(words: Sequence[str], tags: Sequence[str]) -> Iterator[int]:
    """Bucket numbers of words, pairs, words two apart, letter n-grams, and runs of tags (word classes)."""
    padded = ["^", *words, "$"]
    classes = ["^", *tags, "$"]
    for at in range(len(padded) - 1):
        yield _bucket(f"{padded[at]} {padded[at + 1]}")
        yield _bucket(f"@{classes[at]} {classes[at + 1]}")
    for at in range(len(padded) - 2):
        yield _bucket(f"{padded[at]} _ {padded[at + 2]}")
        yield _bucket(f"@{classes[at]} {classes[at + 1]} {classes[at + 2]}")
    for word in words:
        yield _bucket(word)
        yield from _letters(f"<{word}>")


def _bucket(feature: str) -> int:
    return crc32(feature.encode()) % BUCKETS


def _letters(word: str) -> Iterator[int]:
    for size in LETTERS:
        for at in range(len(word) - size + 1):
            yield _bucket(f"#{word[at : at + size]}")


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
        found = [self.weights[bucket] - _SIGN for bucket in features(words, tags)]
        return (self.bias + sum(found)) / math.sqrt(max(1, len(found)))
