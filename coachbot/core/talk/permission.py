"""Answers "can I play?": who decides that, and what is still missing; it permits nothing and changes nothing."""

import re
from collections.abc import Iterator
from functools import lru_cache

from coachbot.core.days import local_day
from coachbot.core.effects import Word
from coachbot.core.rules import afterwards, readiness
from coachbot.core.rules.roster import gone
from coachbot.core.rules.running import FAST
from coachbot.core.speak import Texts
from coachbot.core.turn import Turn

BUILDS = ("approved", "early", "building", "sprinting")
"""States of the course in which running leads to full speed, before the tests of the return."""


def asks(turn: Turn, text: str) -> bool:
    """Whether the words (in lower case) ask for leave to play, run or train."""
    return _question(turn.book.texts[turn.state.language]).search(text.replace("'", "")) is not None


@lru_cache(maxsize=4)
def _question(texts: Texts) -> re.Pattern[str]:
    """A beginning and a deed with small words between them, or a phrase that asks by itself."""
    known = texts.choices["permission"]
    asked, deed, small, whole = (_any(known[name]) for name in ("asked", "deed", "small", "whole"))
    return re.compile(rf"\b(?:{asked}\s+(?:{small}\s+)*{deed}|{whole})\b")


def _any(phrases: tuple[str, ...]) -> str:
    return f"(?:{'|'.join(re.escape(each) for each in sorted(phrases, key=len, reverse=True))})"


def say(turn: Turn) -> None:
    """Say who decides; while nothing is stopped also what the programme knows to be missing."""
    listed = turn.state.clinicians
    turn.reply("permission.never", who=next((each for each in listed if not gone(turn.state, each)), listed[0]))
    for word in () if turn.state.hold else _missing(turn):
        turn.reply(word.key, **word.values)


def _missing(turn: Turn) -> Iterator[Word]:
    state = turn.state
    if state.course == afterwards.RETURNED and state.cleared_at is not None:
        day = local_day(state.cleared_at, state.zone)
        yield Word("permission.signed", {"who": state.cleared_by, "day": day})
    if state.course in BUILDS:
        if FAST not in state.opened:
            yield Word("permission.fast", {"percent": turn.number("running.fast_above")})
        yield Word("permission.speed", {"n": turn.number("course.pain_free_days_at_top")})
    if state.course == "testing":
        criteria = readiness.criteria(turn)
        lacking = [Word(f"permission.lacks.{each.name}") for each in criteria if not each.met]
        met, count = len(criteria) - len(lacking), len(criteria)
        yield Word("permission.criteria", {"met": met, "count": count, "lacking": lacking})
