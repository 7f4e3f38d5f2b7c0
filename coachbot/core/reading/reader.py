"""The door to the value readers: one kind of answer from one message, cleaned first; it never raises on any text."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import assert_never

from coachbot.core.reading.amounts import duration, pace, speed, sprint_time, weight
from coachbot.core.reading.answers import choice, free_text, full_range, number, yes_no
from coachbot.core.reading.counts import sets_reps
from coachbot.core.reading.dates import clock, day
from coachbot.core.reading.gate import clean
from coachbot.core.reading.kinds import Kind, Reading, Unsure
from coachbot.core.reading.language import Language
from coachbot.core.reading.pain import pain

LONGEST = 1_000  # characters; a longer text is a story, not a value, and is asked about


def read(
    kind: Kind,
    text: str,
    language: Language,
    *,
    today: date | None = None,
    choices: Mapping[str, Sequence[str]] | None = None,
    part: str | None = None,
) -> Reading | Unsure:
    """The value of one answer, or why it is unsure. A date needs `today`, a choice its `choices`."""
    cleaned = clean(text if kind is Kind.TEXT else text[: LONGEST + 1]).text
    if not cleaned:
        return Unsure(kind, "empty", cleaned)
    if kind is not Kind.TEXT and (len(cleaned) > LONGEST or len(text) > LONGEST):
        return Unsure(kind, "too-long", cleaned)
    return _read(kind, cleaned, language, today, choices, part)


def _read(
    kind: Kind, text: str, language: Language, today: date | None,
    choices: Mapping[str, Sequence[str]] | None, part: str | None,
) -> Reading | Unsure:  # fmt: skip
    match kind:
        case Kind.PAIN:
            return pain(text, language, part)
        case Kind.YES_NO:
            return yes_no(text, language)
        case Kind.SETS_REPS:
            return sets_reps(text, language)
        case Kind.FULL_RANGE:
            return full_range(text, language)
        case Kind.DURATION:
            return duration(text, language)
        case Kind.WEIGHT:
            return weight(text, language)
        case Kind.SPRINT_TIME:
            return sprint_time(text, language)
        case Kind.SPEED:
            return speed(text, language)
        case Kind.PACE:
            return pace(text, language)
        case Kind.DATE:
            return day(text, language, today) if today else Unsure(kind, "no-today", text)
        case Kind.TIME:
            return clock(text, language)
        case Kind.CHOICE:
            return choice(text, language, choices or {})
        case Kind.NUMBER:
            return number(text, language)
        case Kind.TEXT:
            return free_text(text)
    assert_never(kind)
