"""Measures both learned nets on writers they have not seen, and says which line the sum of their scores should have.

    python -m coachbot.training.heldout en messages doctor young adults sports days

Each writer (a file of `labelled`) is left out of the training in turn: minutes, and it needs the extra `meaning`.
"""

import sys
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from coachbot.core.reading.flags import scored
from coachbot.core.reading.gate import clean
from coachbot.core.reading.learned import Net
from coachbot.core.reading.lexicon import Lexicon
from coachbot.language import load_full
from coachbot.training.meaning import embedded, fit
from coachbot.training.phrases import LABELLED, Phrase, phrases, rows
from coachbot.training.train import train

QUESTIONS = 0.15  # share of harmless messages asked about, at which the table compares
HEAD = "| writer left out | learned alone | meaning alone | both |\n|---|---|---|---|"


def measured(writer: str, everything: Sequence[Phrase], points: np.ndarray, lexicon: Lexicon) -> np.ndarray:
    """For each phrase of the writer: flag or not, the learned score, the score of meaning."""
    theirs = set(rows(LABELLED / f"{writer}.csv"))
    out = np.array([row in theirs for row in everything])
    others = [row for row, left in zip(everything, out, strict=True) if not left]
    blind = replace(lexicon, net=Net.from_bytes(train(others, lexicon)))
    layers = fit(points[~out], np.array([flag for _, flag in others]))
    heard = [row for row, left in zip(everything, out, strict=True) if left]
    learned = [max(scored(clean(text).text, blind).values(), default=blind.line) for text, _ in heard]
    return np.column_stack([[flag for _, flag in heard], learned, layers.scores(points[out])])


def found(scores: np.ndarray, flagged: np.ndarray, questions: float) -> tuple[float, float]:
    """The share of flags above the line that this share of the harmless is above, and that line."""
    line = float(np.quantile(scores[~flagged], 1 - questions))
    return float((scores[flagged] > line).mean()), line


def main(arguments: Sequence[str]) -> int:
    """Prints the table of the writers named, and the line of the sum."""
    lexicon, everything = load_full(arguments[0]).lexicon, phrases()
    if lexicon is None:
        raise SystemExit(f"{arguments[0]} has no flag lexicon")
    points = embedded([text for text, _ in everything])
    print(HEAD)
    tables = []
    for writer in arguments[1:]:
        tables.append(measured(writer, everything, points, lexicon))
        flagged, *scores = _columns(tables[-1], lexicon)
        shares = " | ".join(f"{found(each, flagged, QUESTIONS)[0]:.1%}" for each in scores)
        print(f"| {writer} | {shares} |", flush=True)
    flagged, learned, _, both = _columns(np.vstack(tables), lexicon)
    questions = float((learned[~flagged] > lexicon.line).mean())
    share, line = found(both, flagged, questions)
    print(f"At line {lexicon.line:g}: {questions:.1%} questions, {(learned[flagged] > lexicon.line).mean():.1%} flags.")
    print(f"At line_meaning {line:.0f}: as many questions, {share:.1%} flags.")
    return 0


def _columns(table: np.ndarray, lexicon: Lexicon) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Flag or not, learned alone, meaning alone, both."""
    flagged, learned, meant = table.T
    return flagged > 0, learned, meant, learned + lexicon.weight_meaning * meant


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
