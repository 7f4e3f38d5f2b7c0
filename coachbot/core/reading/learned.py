"""The learned net: hashed word and letter n-grams with trained whole-number weights; it may only make the coach ask."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from zlib import crc32

BUCKETS = 1 << 16  # one signed byte each: the weights file is 64 KB
LETTERS = (3, 4, 5)  # lengths of letter n-grams
_SIGN = 128  # a stored byte minus this is the weight


def features(words: Sequence[str], tags: Sequence[str]) -> list[int]:
    """Bucket numbers of words, pairs, words two apart, letter n-grams, and runs of tags (word classes)."""
    padded = ["^", *words, "$"]
    classes = ["^", *tags, "$"]
    found: list[int] = []
    for word in words:
        found += _word(word)
    for first, second in pairwise(padded):
        found.append(crc32(f"{first} {second}".encode()) % BUCKETS)
    for first, third in zip(padded, padded[2:], strict=False):
        found.append(crc32(f"{first} _ {third}".encode()) % BUCKETS)
    for run in zip(classes, classes[1:], [*classes[2:], ""], strict=False):
        found += _run(run)
    return found


@lru_cache(maxsize=8_192)
def _word(word: str) -> tuple[int, ...]:
    """The word and its letters; kept, since messages share most of their words."""
    edged = f"<{word}>"
    parts = [f"#{edged[at : at + n]}" for n in LETTERS for at in range(len(edged) - n + 1)]
    return tuple(crc32(part.encode()) % BUCKETS for part in [word, *parts])


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
