"""Trains the net that judges the meaning of a message, on the phrases of the folder `labelled` and nothing else.

    python -m coachbot.training.meaning en          writes dialogs/language/en/meaning.bin
    python -m coachbot.training.meaning en --check  only says whether the file scores as the phrases do

It needs the extra `meaning`. The order and the first weights come from a fixed seed; the embedding's arithmetic differs
in the last digits from machine to machine, so two files agree in their scores and not to the byte. One layer of hidden
units does better than a linear net and than 2,048 random features of a radial kernel, and is smaller than both.
"""

import sys
from collections.abc import Sequence

import numpy as np

from coachbot.core.reading.gate import clean
from coachbot.language import MEANING, folder
from coachbot.meaning import SIZE, Layers, embedder
from coachbot.training.phrases import phrases

SEED = 20
UNITS = 128
ROUNDS = 15
BATCH = 64
ALIKE = 0.999  # correlation of the scores of two files from the same phrases, at least
STEP = 0.002
SCALE = 10.0  # unit vectors of 384 numbers are small: this brings each near 1
SLOW, SLOWER, TINY = 0.9, 0.999, 1e-8  # Adam (Kingma and Ba 2015, algorithm 1)


def embedded(texts: Sequence[str]) -> np.ndarray:
    """One row a phrase, as the running coach sees it; of a long one its first window."""
    embed = embedder()
    return np.array([embed(clean(text).text)[0][0] for text in texts])


def fit(rows: np.ndarray, flagged: np.ndarray) -> Layers:
    """Logistic loss with both labels of equal weight, in small batches; the step shrinks to nothing by the end."""
    draw = np.random.Generator(np.random.PCG64(SEED))
    data = np.hstack([rows * SCALE, np.ones((len(rows), 1))]).astype(np.float32)
    share = flagged.mean()
    weight = np.where(flagged, 0.5 / share, 0.5 / (1 - share)).astype(np.float32)
    hidden = draw.standard_normal((UNITS, SIZE + 1)).astype(np.float32) * np.float32((2 / SIZE) ** 0.5)
    out = draw.standard_normal(UNITS + 1).astype(np.float32) * np.float32((2 / UNITS) ** 0.5)
    weights, moments = [hidden, out], [(np.zeros_like(each), np.zeros_like(each)) for each in (hidden, out)]
    turns, turn = ROUNDS * (len(rows) // BATCH), 0
    for _ in range(ROUNDS):
        order = draw.permutation(len(rows))
        for at in range(0, len(rows) - BATCH + 1, BATCH):
            chosen, turn = order[at : at + BATCH], turn + 1
            slopes = _slopes(data[chosen], flagged[chosen], weight[chosen], hidden, out)
            step = STEP * (1 - turn / turns) * (1 - SLOWER**turn) ** 0.5 / (1 - SLOW**turn)
            for each, slope, (first, second) in zip(weights, slopes, moments, strict=True):
                first += (1 - SLOW) * (slope - first)
                second += (1 - SLOWER) * (slope * slope - second)
                each -= (step * first / (np.sqrt(second) + TINY)).astype(np.float32)
    hidden[:, :-1] *= SCALE
    return Layers(hidden, out)


def _slopes(
    data: np.ndarray, flagged: np.ndarray, weight: np.ndarray, hidden: np.ndarray, out: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """How the loss of a batch changes with the hidden weights and with the outer ones."""
    units = np.maximum(data @ hidden.T, 0.0)
    chance = 1 / (1 + np.exp(-np.clip(units @ out[:-1] + out[-1], -30.0, 30.0)))
    wrong = weight * (chance - flagged) / len(data)
    back = np.outer(wrong, out[:-1]) * (units > 0)
    outer = np.append(wrong @ units, wrong.sum())
    return back.T @ data, outer


def main(arguments: Sequence[str]) -> int:
    """Writes or checks the weights of one language."""
    rows, checksum, path = phrases(), embedder().checksum, folder() / arguments[0] / MEANING
    points = embedded([text for text, _ in rows])
    layers = fit(points, np.array([flag for _, flag in rows]))
    print(f"{len(rows)} phrases, {sum(flag for _, flag in rows)} of them flags")
    if "--check" in arguments:
        stored = Layers.unpacked(path.read_bytes(), checksum)
        same = np.corrcoef(stored.scores(points), layers.scores(points))[0, 1] > ALIKE
        print("the file scores as the phrases do" if same else "the file scores otherwise: train again")
        return 0 if same else 1
    path.write_bytes(layers.packed(checksum))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
