"""Why anything was decided on a day: every conclusion of that day with its source, looked up, never guessed."""

from collections.abc import Iterable, Iterator
from datetime import date

from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.core.effects import Word
from coachbot.core.events import Acted, Event, Flagged, Heard, Intended, Ticked
from coachbot.core.reasons import causes
from coachbot.core.rules.safety import quoted
from coachbot.core.state import State
from coachbot.core.talk.because import lines


def day(events: Iterable[Event], day: date, state: State, book: Handbook) -> tuple[Word, ...]:
    """The reasons of all that was decided on this local day of the athlete, in order, each once."""
    events = list(events)
    decided = [cause for event in events if local_day(event.at, state.zone) == day for cause in causes(event)]
    values = {"name": state.name, "day": day}
    if not decided:
        return (Word("desk.why_nothing", values),)
    return (Word("desk.why", values), *lines(decided, book), *_told(events, day, state))


def _told(events: Iterable[Event], day: date, state: State) -> Iterator[Word]:
    """The athlete's whole message before each sign of the day, so that a misreading is seen."""
    heard, told = None, None
    for event in events:
        match event:
            case Heard() | Acted() | Intended() | Ticked():
                heard = event.text if isinstance(event, Heard) else None
            case Flagged() if heard is not None and event.at != told and local_day(event.at, state.zone) == day:
                told = event.at
                yield Word("why.said", {"said": quoted((heard,))})
            case _:
                pass
