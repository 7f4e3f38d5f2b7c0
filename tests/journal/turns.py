"""Turns to store, shared by the tests of the journal; no test itself."""

from datetime import UTC, datetime, timedelta

from coachbot.core.events import Event, Heard, Noted
from coachbot.journal import Outgoing

AT = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)


def turn(words: str, minute: int = 0) -> list[Event]:
    """Three facts of one turn, told apart by `words`."""
    at = AT + timedelta(minutes=minute)
    return [
        Heard(at=at, text=words),
        Noted(at=at, by="dr-ada", note=f"{words} first"),
        Noted(at=at, by="dr-ada", note=f"{words} second"),
    ]


def say(words: str, to: str = "sam") -> Outgoing:
    return Outgoing(to=to, kind="say", text=words)
