"""Passes on what an athlete writes while training is stopped: the first line at once, later ones gathered."""

from datetime import datetime, timedelta

from coachbot.core.book import Handbook
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Kept, PassedOn
from coachbot.core.reading import flags
from coachbot.core.state import State
from coachbot.core.turn import Turn

from .answers import language

EVERY = "desk.gather_every"


def keep(turn: Turn, text: str) -> None:
    """Take words written on hold. Red flags were raised before; words that may be one are never kept waiting."""
    turn.conclude(Kept(at=turn.at, words=text))
    every = _every(turn.state, turn.book)
    last = turn.state.passed_on_at
    at_once = last is None or turn.at - last >= timedelta(minutes=every)
    if at_once or flags(text, language(turn)).verdict != "none":
        flush(turn)
        turn.reply("hold.passed_on")
    else:
        turn.reply("hold.gathered", minutes=every)


def flush(turn: Turn) -> None:
    """All words that wait, in one message."""
    words = tuple(Word("case.quote", {"words": each}) for each in turn.state.waiting)
    if words:
        turn.say(CLINICIANS, Word("clinician.said_on_hold", {"name": turn.state.name, "words": words}))
        turn.conclude(PassedOn(at=turn.at))


def due(state: State, book: Handbook) -> datetime | None:
    """When the words that wait go out; None when none do."""
    if not state.waiting or state.passed_on_at is None:
        return None
    return state.passed_on_at + timedelta(minutes=_every(state, book))


def _every(state: State, book: Handbook) -> float:
    """Minutes between two messages, as the clinician set them for this athlete or the handbook's."""
    return state.limits.get(EVERY, book.numbers[EVERY].value)
