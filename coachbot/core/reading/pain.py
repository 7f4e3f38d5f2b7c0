"""Pain 0-10 from an athlete's words: the worst score that holds today; in doubt it stores nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coachbot.core.reading.kinds import Kind, Reading, Unsure
from coachbot.core.reading.language import Language
from coachbot.core.reading.tokens import MOST_NUMBERS, Item, items

# Ends of the numeric rating scale (Farrar 2001); the limits that decide stand in dialogs/programme.
LOWEST, HIGHEST = 0, 10
_PARTS = ("walk", "exercise", "run")
_COUNTED = ("count", "counter", "painkiller")
_BREAKS = {",", ";", "(", ")", "!", "?", "."}


@dataclass(frozen=True, slots=True)
class _Score:
    """A number that may be a pain score, where it stands and whether it said out of ten."""

    at: int
    value: float
    sure: bool


def pain(text: str, language: Language, part: str | None = None) -> Reading | Unsure:
    """The worst score of today, or of the asked part when scores are labelled; 0-10, halves kept."""
    line = items(text, language.tables["pain"], language.numbers)
    if sum(item.value is not None for item in line) > MOST_NUMBERS:
        return Unsure(Kind.PAIN, "many", text)
    if (why := _refused(line)) is not None:
        return Unsure(Kind.PAIN, why, text)
    line, wrong = _folded(line)
    scores = _trusted(line)
    if not scores:
        return Unsure(Kind.PAIN, wrong or "not-a-number", text)
    if any(not LOWEST <= score.value <= HIGHEST for score in scores):
        return Unsure(Kind.PAIN, "out-of-scale", text)
    return _reading(text, line, scores, part)


def _reading(text: str, line: list[Item], scores: list[_Score], part: str | None) -> Reading | Unsure:
    labels = _bind(line, [score.at for score in scores], set(_PARTS))
    parts: dict[str, float] = {}
    for score in scores:
        if label := labels.get(score.at):
            parts[label] = max(score.value, parts.get(label, 0.0))
    values = [s.value for s in scores if part is None or labels.get(s.at, part) == part]
    if not values:
        return Unsure(Kind.PAIN, "other-part", text)
    told = {labels.get(s.at) for s in scores if s.value in values}
    return Reading(
        Kind.PAIN, max(values), text, low=min(values), high=max(values),
        rise=any(item.symbol == "then" for item in line) and max(values) > values[0],
        masked=_masked(line), part=told.pop() if len(told) == 1 else None, parts=tuple(parts.items()),
    )  # fmt: skip


def _masked(line: Sequence[Item]) -> bool:
    before = [Item(""), *line]
    return any(
        item.symbol == "painkiller" and last.symbol not in ("not", "zero")
        for last, item in zip(before, line, strict=False)
    )


def _refused(line: Sequence[Item]) -> str | None:
    """Forms that are never a score: a bound without a top, a sign before the number, a percentage."""
    for at, item in enumerate(line):
        after = line[at + 1] if at + 1 < len(line) else Item("")
        number_after = after.value is not None or (after.symbol == "filler" and at + 2 < len(line))
        if item.symbol == "over" and number_after:
            return "only-a-bound"
        if item.value is not None and after.symbol == "ormore":
            return "only-a-bound"
        if item.words == "-" and at == 0 and after.glued and after.value is not None:
            return "out-of-scale"
    return None


def _folded(line: Sequence[Item]) -> tuple[list[Item], str]:
    """N out of ten becomes one sure item; the scale itself, other fractions and counted things go."""
    out: list[Item] = []
    wrong = ""
    at = 0
    while at < len(line):
        used, kept, why = _fold(line, at)
        out.extend(kept)
        wrong = why or wrong
        at += used
    return out, wrong


def _fold(line: Sequence[Item], at: int) -> tuple[int, list[Item], str]:
    first = line[at]
    rest = [*line[at + 1 : at + 5], Item(""), Item(""), Item(""), Item("")]
    second, third, fourth = rest[:3]
    if first.symbol == "scale" and second.value is not None and third.symbol in ("range", "outof"):
        return 4, [], ""
    if first.symbol == "outof" and second.value == HIGHEST and third.symbol not in _COUNTED:
        return 2, [], ""
    if first.value is None:
        return 1, [first], ""
    if first.value <= 1 and second.symbol == "range" and third.value == HIGHEST and fourth.words == "?":
        return 4, [], ""
    if second.symbol == "outof" and third.value is not None:
        return _fraction(first, third, rest)
    if _clock(first, second, third):
        return 3, [Item(first.words)], ""
    if second.symbol == "half" and third.symbol == "outof":
        return 1, [first], ""
    return 1, [first], ""


def _fraction(first: Item, top: Item, rest: Sequence[Item]) -> tuple[int, list[Item], str]:
    after, next_value = rest[2], rest[3]
    if after.symbol in _COUNTED:
        return 4, [Item(first.words, symbol="counted")], ""
    if after.symbol == "outof" and next_value.value is not None:
        return 5, [], "date-like"
    if top.value == HIGHEST:
        return 3, [replace(first, symbol="sure")], ""
    return 3, [Item(first.words, symbol="counted")], "wrong-scale"


def _clock(first: Item, sign: Item, second: Item) -> bool:
    return first.figures and second.figures and sign.words == ":" and sign.glued and second.glued


def _trusted(line: list[Item]) -> list[_Score]:
    """The scores left once counted, denied and past numbers are gone; number words need known company."""
    counts = {at for at, item in enumerate(line) if item.value is not None and _counted(line, at)}
    kept = [at for at, item in enumerate(line) if item.value is not None and at not in counts]
    past = _bind(line, kept, {"past", "now"})
    strangers = any(item.value is None and not item.symbol and item.words.isalpha() for item in line)
    praise = any(item.symbol == "praise" for item in line)
    scores = [
        _Score(at, line[at].value or 0.0, line[at].symbol == "sure")
        for at in kept
        if past.get(at) != "past" and _plausible(line, at, strangers, praise)
    ]
    zeros = [_Score(at, 0.0, True) for at, item in enumerate(line) if item.symbol == "zero"]
    return sorted([*scores, *zeros], key=lambda score: score.at)


def _near(line: Sequence[Item], at: int) -> tuple[Item, Item]:
    edge = Item("", symbol="edge")
    return (line[at - 1] if at else edge), (line[at + 1] if at + 1 < len(line) else edge)


def _counted(line: Sequence[Item], at: int) -> bool:
    before, after = _near(line, at)
    if line[at].symbol == "sure":
        return False
    if before.symbol == "filler" and at > 1 and line[at - 2].symbol == "not":
        return True
    return after.symbol in _COUNTED or before.symbol in ("lead", "counter", "not", "counted")


def _plausible(line: Sequence[Item], at: int, strangers: bool, praise: bool) -> bool:
    item = line[at]
    before, after = _near(line, at)
    alone = len([i for i in line if i.words.isalnum()]) == 1
    if item.value == HIGHEST and praise:
        return False
    if item.symbol == "sure":
        return True
    if any(not near.symbol and near.value is None and near.words.isalpha() for near in (before, after)):
        return False
    labelled = before.symbol in ("pain", *_PARTS) or after.symbol in ("pain", *_PARTS)
    return item.figures or alone or labelled or not strangers


def _bind(line: Sequence[Item], numbers: Sequence[int], symbols: set[str]) -> dict[int, str]:
    """Which label belongs to which score: in order when they pair up within a clause, else the nearest."""
    bound: dict[int, str] = {}
    for clause in _clauses(line):
        here = [at for at in clause if at in numbers or line[at].symbol == "zero"]
        labels = [at for at in clause if line[at].symbol in symbols]
        if len(here) == len(labels):
            bound |= {at: line[label].symbol for at, label in zip(here, labels, strict=True)}
        elif here:
            for label in labels:
                nearest = min(here, key=lambda at: (abs(at - label), at < label))
                bound[nearest] = line[label].symbol
    return bound


def _clauses(line: Sequence[Item]) -> list[list[int]]:
    clauses: list[list[int]] = [[]]
    for at, item in enumerate(line):
        if item.words in _BREAKS or item.symbol == "but":
            clauses.append([])
        else:
            clauses[-1].append(at)
    return clauses
