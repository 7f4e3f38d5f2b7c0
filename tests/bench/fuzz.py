"""The long run: random and mutated messages through every reader; prints how many, the median and the longest time.

python tests/bench/fuzz.py 1000000
"""

import csv
import random
import statistics
import sys
from datetime import date
from itertools import islice
from pathlib import Path
from time import perf_counter

from coachbot.core.reading import Kind, Wanted, command, flags, read, read_line
from coachbot.language import load_full

CORPORA = Path(__file__).parents[1] / "corpora"
SIGNS = "0123456789/.,:-+%?!'\" xX\u200b\u202eé½４٣😀💥\x00\n()<>"
WANTED = [Wanted("pain", Kind.PAIN), Wanted("sudden", Kind.YES_NO)]
TODAY = date(2026, 3, 12)


def mutated(chance: random.Random, texts: list[str]) -> str:
    """A known phrase with letters lost, doubled, swapped or replaced, sometimes joined to another one."""
    letters = list(chance.choice(texts) + (" " + chance.choice(texts) if chance.random() < 0.3 else ""))
    for _ in range(chance.randrange(6)):
        at = chance.randrange(len(letters) + 1)
        letters[at : at + chance.randrange(3)] = chance.choice([[], [chance.choice(SIGNS)], letters[at : at + 1] * 2])
    return "".join(letters)


def noise(chance: random.Random) -> str:
    """Signs and code points of any kind, without sense."""
    signs = (chance.choice(SIGNS) if chance.random() < 0.6 else chr(chance.randrange(0x11000)) for _ in range(80))
    return "".join(islice(signs, chance.randrange(80)))


def main(count: int) -> None:
    chance, english = random.Random(7), load_full("en")
    files = sorted(CORPORA.glob("*.csv"))
    texts = [row["text"] for file in files for row in csv.DictReader(file.read_text("utf-8").splitlines())]
    times = []
    for turn in range(count):
        text = mutated(chance, texts) if turn % 3 else noise(chance)
        start = perf_counter()
        flags(text, english)
        times.append(perf_counter() - start)
        read([*Kind][turn % len(Kind)], text, english, today=TODAY, choices={"good": ["good"]})
        command(text, english)
        read_line(text, WANTED, english, today=TODAY)
    print(f"{count} messages, none raised; flags: median {statistics.median(times) * 1000:.3f} ms", end=", ")
    print(f"longest {max(times) * 1000:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]))
