"""Trains the learned net, a linear support vector machine with squared hinge loss; the same bytes every time.

    python -m coachbot.training.train en          writes dialogs/language/en/weights.bin
    python -m coachbot.training.train en --check  only says whether the file is what the phrases give

Only + - * / and square roots are used, which IEEE 754 fixes to the last bit, and the order comes from checksums.
"""

import sys
from array import array
from collections import Counter
from collections.abc import Sequence
from math import fsum, sqrt
from zlib import crc32

from coachbot.core.reading.flags import residue
from coachbot.core.reading.gate import clean
from coachbot.core.reading.learned import BUCKETS, features
from coachbot.core.reading.lexicon import Lexicon
from coachbot.language import WEIGHTS, folder, load_full
from coachbot.training.phrases import Phrase, phrases

ROUNDS = 10  # more change the weights, and nothing that writers left out would see
SLACK = 2.0  # cost of a phrase on the wrong side, before the two labels are balanced
WIDEST = 127  # weights are stored as -127..127


def example(text: str, lexicon: Lexicon) -> tuple[int, ...]:
    """The buckets of one phrase, as the running coach sees it."""
    return tuple(features(*residue(clean(text).text, lexicon)))


def fit(rows: Sequence[tuple[tuple[int, ...], bool]]) -> tuple["array[float]", float]:
    """Weights and bias; rows are (buckets, flag or not). Dual coordinate descent (Hsieh 2008, algorithm 1)."""
    weights = array("d", bytes(8 * (BUCKETS + 1)))  # the last one is the bias
    seen = [((*buckets, BUCKETS), 1 / sqrt(len(buckets)), 1.0 if flag else -1.0) for buckets, flag in rows if buckets]
    half, share = 0.5 * len(seen), sum(side > 0 for _, _, side in seen)
    soft = {1.0: share / (half * 2 * SLACK), -1.0: (len(seen) - share) / (half * 2 * SLACK)}
    curves = [scale * scale * sum(n * n for n in Counter(buckets).values()) for buckets, scale, _ in seen]
    pulls = array("d", bytes(8 * len(seen)))
    for turn in range(ROUNDS):
        for at in sorted(range(len(seen)), key=lambda at: crc32(f"{turn} {at}".encode())):
            buckets, scale, side = seen[at]
            slope = side * scale * fsum(map(weights.__getitem__, buckets)) - 1 + soft[side] * pulls[at]
            pull = max(0.0, pulls[at] - slope / (curves[at] + soft[side]))
            if step := (pull - pulls[at]) * side * scale:
                pulls[at] = pull
                for bucket in buckets:
                    weights[bucket] += step
    return weights[:BUCKETS], weights[BUCKETS]


def packed(weights: Sequence[float], bias: float) -> bytes:
    """The weights file: two bytes of bias, then one byte a bucket, scaled so that nearly all weights fit."""
    ordered = sorted(abs(weight) for weight in weights if weight)
    top = ordered[int(len(ordered) * 0.999)] if ordered else 1.0
    unit = top / WIDEST
    whole = (max(-WIDEST, min(WIDEST, round(weight / unit))) for weight in weights)
    return round(bias / unit).to_bytes(2, "big", signed=True) + bytes(value + 128 for value in whole)


def train(rows: Sequence[Phrase], lexicon: Lexicon) -> bytes:
    """The weights file for these phrases."""
    return packed(*fit([(example(text, lexicon), flag) for text, flag in rows]))


def main(arguments: Sequence[str]) -> int:
    """Writes or checks the weights of one language."""
    code = arguments[0]
    lexicon = load_full(code).lexicon
    if lexicon is None:
        raise SystemExit(f"{code} has no flag lexicon")
    rows = phrases()
    data, path = train(rows, lexicon), folder() / code / WEIGHTS
    flagged = sum(flag for _, flag in rows)
    print(f"{len(rows)} phrases, {flagged} of them flags; crc {crc32(data):08x}")
    if "--check" in arguments:
        same = path.exists() and path.read_bytes() == data
        print("the file is what the phrases give" if same else "the file differs: train again")
        return 0 if same else 1
    path.write_bytes(data)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
