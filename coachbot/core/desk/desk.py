"""The state of one clinician's desk, folded from its own stream; of athletes it knows only the case's id."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from coachbot.core.days import instant, local_day
from coachbot.core.events import Arranged, Event, Focused, LanguageChosen, Rostered, Sent

STREAM = "desk:"
"""What the name of a desk's stream begins with; a case's never does."""


@dataclass(frozen=True)
class Desk:
    """The case last acted on, whether an act on it waits for a "yes", the clinician's language, and when news comes."""

    person: str
    case: str = ""
    waits: bool = False
    zone: str = "UTC"
    language: str = "en"
    digest_hour: float | None = None
    board_hour: float | None = None
    arranged_at: datetime | None = None
    sent: Mapping[str, date] = field(default_factory=dict)
    duty: Rostered | None = None

    def today(self, at: datetime) -> date:
        """The clinician's local day."""
        return local_day(at, self.zone)


def fold(events: Iterable[Event], desk: Desk) -> Desk:
    """The desk after these facts."""
    for event in events:
        match event:
            case Focused():
                desk = replace(desk, case=event.case, waits=event.waits)
            case Arranged():
                desk = replace(desk, zone=event.zone, arranged_at=event.at)
                desk = replace(desk, digest_hour=event.digest_hour, board_hour=event.board_hour)
            case LanguageChosen():
                desk = replace(desk, language=event.language)
            case Sent():
                desk = replace(desk, sent={**desk.sent, event.what: event.day})
            case Rostered():
                desk = replace(desk, duty=event)
            case _:
                pass  # that the coach was away changes nothing
    return desk


def due(desk: Desk) -> dict[str, datetime]:
    """When the digest and the board go out next, by name; neither before an hour was set for it."""
    hours = {"digest": desk.digest_hour, "board": desk.board_hour}
    return {what: _next(desk, what, hour) for what, hour in hours.items() if hour is not None}


def _next(desk: Desk, what: str, hour: float) -> datetime:
    assert desk.arranged_at is not None, "an hour is set by arranging the desk"
    sent = desk.sent.get(what)
    day = sent + timedelta(days=1) if sent else desk.today(desk.arranged_at)
    at = instant(day, hour, desk.zone)
    return at if at > desk.arranged_at or sent else instant(day + timedelta(days=1), hour, desk.zone)
