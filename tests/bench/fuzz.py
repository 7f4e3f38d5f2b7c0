"""The long run: random and mutated messages through every reader; prints how many, and the times of flag reading.

    python -m tests.bench.fuzz            a million messages, about a quarter of an hour on one core
    python -m tests.bench.fuzz 300000 8   another count, and another seed

At the end come long messages of known phrases, mutated and run together, and some of odd signs: each is read three
times and the quickest counts, since other work on the machine is not the reader's.

The same seed gives the same messages. A message that makes a reader raise is printed before the error.
"""

import csv
import random
import statistics
import sys
from array import array
from collections.abc import Iterator
from datetime import date
from itertools import islice
from pathlib import Path
from time import perf_counter, process_time

from coachbot.core.reading import Kind, Language, Wanted, command, flags, read, read_line
from coachbot.language import load_full

CORPORA = Path(__file__).parents[1] / "corpora"
SIGNS = "0123456789/.,:-+%?!'\" xX\u200b\u202eé½⅓４٣😀💥\x00\n()<>"
WANTED = [Wanted("pain", Kind.PAIN), Wanted("sudden", Kind.YES_NO)]
CHOICES = {"good": ["good"]}
TODAY = date(2026, 3, 12)
MILLION, SEED, PROGRESS = 1_000_000, 7, 50_000
LONG, LONGS, TRIES = 2_000, 200, 3  # characters of a long message, how many there are, and how often each is read
ODD = ("felt a pop and my foot is numb ", "1 ", "a b c d ", "qwrtz ", "(", "x", "no pop no snap, ", "paaaain ", "٣é½💥")


def messages(count: int, seed: int) -> Iterator[str]:
    """Two mutated phrases, then one of noise, and so on."""
    chance = random.Random(seed)
    files = sorted(CORPORA.glob("*.csv"))
    texts = [row["text"] for file in files for row in csv.DictReader(file.read_text("utf-8").splitlines())]
    for turn in range(count):
        yield _mutated(chance, texts) if turn % 3 else _noise(chance)


def _mutated(chance: random.Random, texts: list[str]) -> str:
    """A known phrase with letters lost, doubled, swapped or replaced, sometimes joined to another one."""
    letters = list(chance.choice(texts) + (" " + chance.choice(texts) if chance.random() < 0.3 else ""))
    for _ in range(chance.randrange(6)):
        at = chance.randrange(len(letters) + 1)
        letters[at : at + chance.randrange(3)] = chance.choice([[], [chance.choice(SIGNS)], letters[at : at + 1] * 2])
    return "".join(letters)


def _noise(chance: random.Random) -> str:
    """Signs and code points of any kind, without sense."""
    signs = (chance.choice(SIGNS) if chance.random() < 0.6 else chr(chance.randrange(0x11000)) for _ in range(80))
    return "".join(islice(signs, chance.randrange(80)))


def tried(text: str, turn: int, language: Language) -> float:
    """Processor seconds of flag reading; every other reader gets the text as well, the kinds of value in turn."""
    start = process_time()
    flags(text, language)
    took = process_time() - start
    read([*Kind][turn % len(Kind)], text, language, today=TODAY, choices=CHOICES)
    command(text, language)
    read_line(text, WANTED, language, today=TODAY)
    return took


def longs(seed: int) -> Iterator[str]:
    """Long messages: phrases dense with flags, and the same few signs again and again."""
    chance = random.Random(seed)
    files = sorted(CORPORA.glob("red_flags*.csv"))
    texts = [row["text"] for file in files for row in csv.DictReader(file.read_text("utf-8").splitlines())]
    for _ in range(LONGS):
        yield " ".join(_mutated(chance, texts) for _ in range(LONG // 10))[:LONG]
    yield from ((odd * LONG)[:LONG] for odd in ODD)


def main(count: int, seed: int) -> None:
    """Reads them all, and says every now and then how far it is."""
    english, times, began = load_full("en"), array("d"), perf_counter()
    for turn, text in enumerate(messages(count, seed), 1):
        try:
            times.append(tried(text, turn, english))
        except Exception:
            print(f"message {turn}: {text!r}")
            raise
        if turn % PROGRESS == 0:
            print(f"{turn} of {count} after {perf_counter() - began:.0f} s", flush=True)
    print(f"{count} messages, none raised; flags: median {statistics.median(times) * 1000:.3f} ms", end=", ")
    print(f"longest {max(times) * 1000:.1f} ms")
    long = [min(tried(text, turn, english) for turn in range(TRIES)) for text in longs(seed)]
    print(f"{len(long)} of {LONG} characters: median {statistics.median(long) * 1000:.1f} ms, longest", end=" ")
    print(f"{max(long) * 1000:.1f} ms")


if __name__ == "__main__":
    main(*(int(each) for each in [*sys.argv[1:], *[MILLION, SEED][len(sys.argv) - 1 :]]))
