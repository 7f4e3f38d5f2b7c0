"""What a request for an outlook brings along: the clinic's other cases, without names; it says nothing itself."""

from collections.abc import Iterable
from datetime import datetime

from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.core.events import Other
from coachbot.core.rules.outlook import own
from coachbot.core.state import State

from .acts import FITS
from .grammar import read

ACT = "outlook"


def wanted(line: str, book: Handbook) -> bool:
    """Whether a clinician's line asks for an outlook."""
    return read(line, book, FITS).act == ACT


def others(states: Iterable[State], at: datetime) -> tuple[Other, ...]:
    """Every case that can be compared: its kind, its days from the injury, whether the athlete was back."""
    found = (own(state, local_day(at, state.zone)) for state in states)
    return tuple((each.kind, each.days, each.back) for each in found if each)
