"""Why anything was decided on a day: every conclusion of that day with its source, looked up, never guessed."""

from collections.abc import Iterable, Iterator
from datetime import date

from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.core.effects import Word
from coachbot.core.events import Event, Prescribed, Reason
from coachbot.core.state import State
from coachbot.core.talk.because import because, source


def day(events: Iterable[Event], day: date, state: State, book: Handbook) -> tuple[Word, ...]:
    """The reasons of all that was decided on this local day of the athlete, in order, each once."""
    decided = [reason for event in events if local_day(event.at, state.zone) == day for reason in reasons(event)]
    values = {"name": state.name, "day": day}
    if not decided:
        return (Word("desk.why_nothing", values),)
    distinct = [reason for n, reason in enumerate(decided) if reason not in decided[:n]]
    lines = (Word("why.line", {"reason": because(r), "source": source(book, r)}) for r in distinct)
    return (Word("desk.why", values), *lines)


def reasons(event: Event) -> Iterator[Reason]:
    """Every reason that a fact carries."""
    reason = getattr(event, "reason", None)
    if isinstance(reason, Reason):
        yield reason
    if isinstance(event, Prescribed):
        yield from event.reasons
        yield from (line.reason for line in event.lines)
