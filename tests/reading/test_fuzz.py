"""No text, however odd, breaks a reader or takes long; the long run is tests/bench/fuzz.py."""

from datetime import date
from statistics import median
from time import perf_counter

from fuzz import messages, tried
from hypothesis import given, settings, strategies as st

from coachbot.core.reading import Kind, Wanted, command, flags, read, read_line
from coachbot.language import load_full

ENGLISH = load_full("en")
TODAY = date(2026, 3, 12)
PIECES = st.sampled_from(
    ["no", "pop", "4/10", "3x10", "½", "-", "?", "😀", "\u202e", "1e9", "9" * 30, "and a half", "kg", ":", "walking",
     "then", "not", "sharp", "10", "out of", ".", ",", "\x00", "ﷺ", "monday",
     "31/2", "0x4", "∞", "٣", "pain", "'", "a" * 50]
)  # fmt: skip
LISTS = st.lists(PIECES, max_size=25)
TEXTS = st.one_of(st.text(max_size=200), LISTS.map(" ".join), LISTS.map("".join))
CHOICES = {"good": ["good", "fine"], "bad": ["bad"]}
WANTED = [Wanted("a", Kind.PAIN), Wanted("b", Kind.YES_NO), Wanted("c", Kind.CHOICE, CHOICES)]


@given(TEXTS)
@settings(deadline=None, max_examples=1500)
def test_readers_never_raise(text):
    for kind in Kind:
        read(kind, text, ENGLISH, today=TODAY, choices=CHOICES)
    flags(text, ENGLISH)
    command(text, ENGLISH)
    read_line(text, WANTED, ENGLISH, today=TODAY)


def test_mutated_phrases_never_raise():
    took = [tried(text, turn, ENGLISH) for turn, text in enumerate(messages(3_000, seed=11))]
    assert len(took) == 3_000 and median(took) < 0.005


def quickest(text: str, turns: int = 5) -> float:
    """The best of a few turns: other work on the machine is not the reader's."""
    times = []
    for _ in range(turns):
        start = perf_counter()
        flags(text, ENGLISH)
        times.append(perf_counter() - start)
    return min(times)


def test_long_message_stays_quick():
    texts = ["felt a pop and my foot is numb " * 65, "1 " * 1000, "a b c d " * 250, "qwrtz " * 330, "(" * 2000]
    assert max(quickest(text[:2000]) for text in texts) < 0.05


def test_huge_message_is_bounded():
    assert quickest("1 2 3 pop " * 50_000, turns=1) < 3
