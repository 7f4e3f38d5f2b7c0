"""Shows how messages are read: one text with its reasons, or a whole file of labelled phrases with exact bounds."""

import csv
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from math import comb
from pathlib import Path
from typing import Any

from coachbot.core.reading import Kind, Language, Reading, SetsReps, Unsure, Weight, clean, command, flags, read
from coachbot.language import codes, load_full

ASK = "ASK"
CONFIDENCE = 0.95
# What a file is about, by the beginning of its name.
FILES = {
    "pain": Kind.PAIN, "yes": Kind.YES_NO, "date": Kind.DATE, "duration": Kind.DURATION, "weight": Kind.WEIGHT,
    "sprint": Kind.SPRINT_TIME, "sets": Kind.SETS_REPS, "hygiene": "hygiene", "red": "flags", "flag": "flags",
}  # fmt: skip
_TOLERANCE = 0.006  # kilograms and seconds: files give two decimals


def understand(text: str, language: str = "en", *, meaning: bool = False) -> dict[str, Any]:
    """Every reading of one message, with the words each was read from; ready for JSON."""
    spoken = load_full(language, meaning=meaning)
    kinds = [kind for kind in Kind if kind is not Kind.CHOICE]
    told = {kind.value: _shown(read(kind, text, spoken, today=date.today())) for kind in kinds}
    found = flags(text, spoken)
    return {
        "text": clean(text).text,
        "command": command(text, spoken),
        "flags": {**asdict(found), "verdict": found.verdict},
        "readings": told,
    }


def _shown(reading: Reading | Unsure) -> dict[str, Any]:
    if isinstance(reading, Unsure):
        return {"unsure": reading.why}
    value = reading.value.notation if isinstance(reading.value, SetsReps | Weight) else reading.value
    plain = value if isinstance(value, bool | float | str) else str(value)
    extra = {key: getattr(reading, key) for key in ("rise", "masked", "part") if getattr(reading, key)}
    return {"value": plain, "words": reading.words, **extra}


def explain(text: str, language: str = "en", *, as_json: bool = False, meaning: bool = False) -> str:
    """The same as lines a person reads, or as JSON."""
    told = understand(text, language, meaning=meaning)
    if as_json:
        return json.dumps(told, ensure_ascii=False, indent=2)
    found = told["flags"]
    lines = [f"read as: {told['text']}", f"command: {told['command'] or 'none'}", f"red flags: {found['verdict']}"]
    lines += [f"  alert {alert['flag']}: {alert['words']!r}" for alert in found["alerts"]]
    lines += [f"  to ask: {doubt!r}" for doubt in found["doubts"]]
    lines += [f"  set aside as {why}: {words!r}" for why, words in found["notes"]]
    readings = {kind: shown for kind, shown in told["readings"].items() if "value" in shown and kind != Kind.TEXT}
    return "\n".join([*lines, *(f"{kind}: {shown['value']}" for kind, shown in readings.items())])


@dataclass(frozen=True)
class Tried:
    """One labelled phrase and what was read."""

    text: str
    language: str
    expected: tuple[str, ...]
    got: str

    @property
    def right(self) -> bool:
        """True when what was read is one of the expected values."""
        return any(_same(self.got, value) for value in self.expected)


def try_file(path: Path, kind: str | None = None, *, meaning: bool = False) -> tuple[str, list[Tried]]:
    """Reads every row of a labelled file; the kind comes from its name unless given."""
    about = kind or next((str(k) for start, k in FILES.items() if path.stem.startswith(start)), "")
    if not about:
        kinds = ", ".join(sorted(map(str, FILES.values())))
        raise ValueError(f"{path.name}: say with --kind what it is about: {kinds}")
    with path.open(encoding="utf-8", newline="") as file:
        return about, [_tried(row, about, meaning) for row in csv.DictReader(file)]


def _tried(row: Mapping[str, str], about: str, meaning: bool) -> Tried:
    text, expected = row["text"], row["expected"]
    if about == "hygiene":
        return Tried(text, row["lang"], (json.loads(expected),), clean(json.loads(text)).text)
    if row["lang"] not in codes():
        return Tried(text, row["lang"], tuple(expected.split(";")), ASK)
    language = load_full(row["lang"], meaning=meaning)
    got = _flag(text, language) if about == "flags" else _value(Kind(about), text, language, row, "=" in expected)
    return Tried(text, row["lang"], tuple(expected.split(";")), got)


def _flag(text: str, language: Language) -> str:
    return {"alert": "FLAG", "ask": ASK, "none": "NONE"}[flags(text, language).verdict]


def _value(kind: Kind, text: str, language: Language, row: Mapping[str, str], parts: bool) -> str:
    now = row.get("now")
    reading = read(kind, text, language, today=datetime.fromisoformat(now).date() if now else None)
    if isinstance(reading, Unsure):
        return ASK
    value = reading.value
    if parts and reading.parts:
        return "|".join(f"{part}={score:g}" for part, score in reading.parts)
    if isinstance(value, bool):
        return "YES" if value else "NO"
    if isinstance(value, float):
        return f"{value:.10g}"
    return value.notation if isinstance(value, SetsReps | Weight) else str(value)


def _same(got: str, wanted: str) -> bool:
    if got == wanted:
        return True
    try:
        return abs(float(got) - float(wanted)) < _TOLERANCE
    except ValueError:
        return False


def bounds(hits: int, of: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Exact two-sided binomial limits (Clopper and Pearson 1934), found by halving to 1e-6."""
    if of == 0:
        return 0.0, 1.0
    tail = (1 - confidence) / 2
    low = 0.0 if hits == 0 else _root(lambda p: 1 - _at_most(hits - 1, of, p) - tail)
    high = 1.0 if hits == of else _root(lambda p: tail - _at_most(hits, of, p))
    return low, high


def _at_most(hits: int, of: int, p: float) -> float:
    return sum(comb(of, k) * p**k * (1 - p) ** (of - k) for k in range(hits + 1))


def _root(rising: Callable[[float], float]) -> float:
    low, high = 0.0, 1.0
    while high - low > 1e-6:  # noqa: PLR2004 - the precision said above
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2


def report(path: str | Path, kind: str | None = None, *, misses: bool = False, meaning: bool = False) -> str:
    """Counts and exact 95 % limits for one labelled file, and with `misses` every phrase read otherwise."""
    about, tried = try_file(Path(path), kind, meaning=meaning)
    lines = [f"{Path(path).name}: {len(tried)} phrases, read as {about}"]
    lines += list(_flag_lines(tried) if about == "flags" else _value_lines(tried))
    if misses:
        wrong = [t for t in tried if not t.right]
        lines += [f"  {t.text!r} ({t.language}) wanted {';'.join(t.expected)}, read {t.got}" for t in wrong]
    return "\n".join(lines)


def _flag_lines(tried: Iterable[Tried]) -> Iterator[str]:
    rows = list(tried)
    flagged = [t for t in rows if t.expected[0] == "FLAG"]
    harmless = [t for t in rows if t.expected[0] == "NONE"]
    asked = [t for t in rows if t.expected[0] == ASK]
    yield _share("flags not left silent (sensitivity)", sum(t.got != "NONE" for t in flagged), len(flagged))
    yield _share("flags alerted at once", sum(t.got == "FLAG" for t in flagged), len(flagged))
    yield _share("harmless without alarm (specificity)", sum(t.got != "FLAG" for t in harmless), len(harmless))
    yield _share("harmless with a needless question", sum(t.got == ASK for t in harmless), len(harmless))
    yield _share("unclear phrases not left silent", sum(t.got != "NONE" for t in asked), len(asked))


def _value_lines(tried: Iterable[Tried]) -> Iterator[str]:
    rows = list(tried)
    yield _share("right", sum(t.right for t in rows), len(rows))
    yield _share("asked again where a value was meant", sum(t.got == ASK and not t.right for t in rows), len(rows))
    yield _share("wrong value stored", sum(t.got != ASK and not t.right for t in rows), len(rows))


def _share(name: str, hits: int, of: int) -> str:
    low, high = bounds(hits, of)
    share = f"{hits / of:6.1%}" if of else "     -"
    return f"  {name:<40} {hits:>5} of {of:<5} {share}  [{low:.1%}, {high:.1%}]"
