"""Durations, weights, sprint times and speeds from the sketch of a message; a missing or odd unit is asked again."""

import re
from collections.abc import Callable, Sequence

from coachbot.core.reading.kinds import Kind, Reading, Unsure, Weight
from coachbot.core.reading.language import Language
from coachbot.core.reading.sketch import STRANGE, sketch

# Bounds of what can be meant; outside them the coach asks again.
LONGEST = 6 * 3600  # seconds of one session
HEAVIEST = 500.0  # kg in one exercise
FASTEST, SLOWEST = 1.0, 30.0  # seconds of a sprint told without a unit
KG = {"kg": 1.0, "gram": 0.001, "lb": 0.45359237, "stone": 6.35029318}  # exact by definition (pound 1959)
PERCENT = 100.0
_N = r"(\d+(?:\.\d+)?)"
_DURATIONS: Sequence[tuple[re.Pattern[str], Callable[[re.Match[str]], float]]] = [
    (re.compile(rf"(?:{_N}|one)? ?hour half"), lambda m: (float(m[1] or 1) + 0.5) * 3600),
    (re.compile(r"halfof hour"), lambda m: 1800.0),
    (re.compile(r"halfof minute"), lambda m: 30.0),
    (re.compile(r"(?:one )?quarter hour"), lambda m: 900.0),
    (re.compile(rf"{_N} quarters hour"), lambda m: float(m[1]) * 900),
    (re.compile(rf"(?:{_N} range )?(?:{_N}|one) hour(?: {_N}(?: minute)?)?"),
     lambda m: float(m[2] or 1) * 3600 + float(m[3] or 0) * 60),
    (re.compile(rf"(?:{_N} (?:minute )?range )?(?:{_N}|one) minute(?: {_N}(?: second)?)?"),
     lambda m: float(m[2] or 1) * 60 + float(m[3] or 0)),
    (re.compile(rf"(?:{_N} range )?{_N} second"), lambda m: float(m[2])),
    (re.compile(r"(\d+) colon (\d+) colon (\d+)"), lambda m: float(m[1]) * 3600 + float(m[2]) * 60 + float(m[3])),
]  # fmt: skip


def duration(text: str, language: Language) -> Reading | Unsure:
    """Seconds; a range counts as its longer end, a bare number has no unit and is asked again."""
    line = sketch(text, language, "duration")
    for pattern, seconds in _DURATIONS:
        if match := pattern.fullmatch(line):
            value = seconds(match)
            fits = value <= LONGEST
            return Reading(Kind.DURATION, value, text) if fits else Unsure(Kind.DURATION, "out-of-scale", text)
    return Unsure(Kind.DURATION, "no-unit" if re.fullmatch(_N, line) else "unclear", text)


_REPS = re.compile(r"\d+ each \d+(?! (?:kg|lb|gram|stone))|\d+ rep")
_LOADS = re.compile(rf"(?:{_N} (?:(?:kg|lb) )?range )?{_N} (kg|lb|gram|stone)")


def weight(text: str, language: Language) -> Reading | Unsure:
    """Kilograms, or body weight with or without an added load; kilograms win when both units are told."""
    line = " ".join(_REPS.sub(" ", sketch(text, language, "weight")).split())
    loads = [(float(m[2]), m[3]) for m in _LOADS.finditer(line)]
    rest = _LOADS.sub(" ", line).split()
    if "kg" in {unit for _, unit in loads}:
        loads = [load for load in loads if load[1] == "kg"]
    if (why := _odd_load(loads, rest)) is not None:
        return Unsure(Kind.WEIGHT, why, text)
    kg = round(sum(amount * KG[unit] for amount, unit in loads), 2)
    if kg > HEAVIEST:
        return Unsure(Kind.WEIGHT, "out-of-scale", text)
    return Reading(Kind.WEIGHT, Weight(kg, body="body" in rest), text)


def _odd_load(loads: list[tuple[float, str]], rest: list[str]) -> str | None:
    extra = [word for word in rest if word not in ("body", "plus")]
    several = len({unit for _, unit in loads}) != len(loads)
    if extra or several or ("plus" in rest and "body" not in rest and len(loads) > 1):
        return "no-unit" if extra and re.fullmatch(_N, extra[0]) else "unclear"
    if "range" in rest or (not loads and "body" not in rest):
        return "unclear"
    return None


_FEET = re.compile(r"(\d)\s?''\s?(\d)")
_ASIDE = re.compile(rf"(?:{_N} )?pain {_N}(?: pain)?|{_N} pain")
_TIMES = re.compile(rf"(?:(\d+) (?:minute|colon) ){_N}(?: second)?|{_N} (milli)|{_N}(?: second)?")


def sprint_time(text: str, language: Language) -> Reading | Unsure:
    """The best time of one distance in seconds, to 1 ms; bounds ("sub 4.3") and several distances are asked again."""
    line = sketch(_FEET.sub(r"\1.\2", text), language, "sprint")
    line = _ASIDE.sub(" ", line) if " pain" in line and not line.startswith("pain") else line
    distances = re.findall(rf"{_N} metre", line)
    line = " ".join(re.sub(rf"best \d+(?: colon)?(?= \d)|{_N} metre(?: colon)?", " ", line).split())
    if any(word in line.split() for word in ("bound", "percent", STRANGE, "kmh", "x")) or len(distances) > 1:
        return Unsure(Kind.SPRINT_TIME, "unclear", text)
    times = [seconds for m in _TIMES.finditer(line) if (seconds := _seconds(m)) is not None]
    if not times or len(times) != len(_TIMES.findall(line)):
        return Unsure(Kind.SPRINT_TIME, "not-a-number" if not times else "out-of-scale", text)
    return Reading(Kind.SPRINT_TIME, round(min(times), 3), text)


def _seconds(match: re.Match[str]) -> float | None:
    if match[1]:
        return int(match[1]) * 60 + float(match[2])
    if match[4]:
        return float(match[3]) / 1000
    value = float(match[5])
    return value if "second" in match[0] or FASTEST <= value < SLOWEST else None


def speed(text: str, language: Language) -> Reading | Unsure:
    """Percent of own top speed, above 0 to 100; a range counts as its faster end."""
    line = sketch(text, language, "speed")
    match = re.fullmatch(rf"(?:{_N} (?:percent )?range )?{_N}(?: percent)?", line)
    if match is None:
        return Unsure(Kind.SPEED, "unclear" if re.search(_N, line) else "not-a-number", text)
    value = max(float(match[1] or 0), float(match[2]))
    within = 0 < value <= PERCENT
    return Reading(Kind.SPEED, value, text) if within else Unsure(Kind.SPEED, "out-of-scale", text)


def pace(text: str, language: Language) -> Reading | Unsure:
    """Percent of own top speed, or seconds: then the reading is a sprint time. A small number needs its unit."""
    percent = speed(text, language)
    if isinstance(percent, Reading):
        bare = re.fullmatch(_N, sketch(text, language, "speed"))  # "7.4" may be either
        return Unsure(Kind.PACE, "no-unit", text) if bare and float(bare[1]) < SLOWEST else percent
    timed = sprint_time(text, language)
    return timed if isinstance(timed, Reading) else Unsure(Kind.PACE, percent.why, text)
