"""Turns to store, and processes that store them, shared by the tests of the journal; no test itself."""

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import coachbot
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


def spawn(*arguments: object) -> subprocess.Popen[str]:
    """Starts ``child.py`` in a Python process of its own that finds this checkout's package."""
    root = str(Path(coachbot.__file__).parents[1])
    return subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("child.py")), *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": root},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
