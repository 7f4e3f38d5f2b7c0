"""A clinician's hours, zone and clock times out of a line; when they count is decided in `roster`."""

import re
from datetime import datetime

from coachbot.core.book import Handbook
from coachbot.core.events import Rostered
from coachbot.core.rules.roster import WEEKDAYS
from coachbot.core.turn import Turn

from .grammar import Rest, table
from .say import Bid

MIDNIGHT = 24.0
MINUTES = 60
_CLOCK = re.compile(r"\b(\d{1,2})(?:[:.h](\d{2}))?\b")
_PHONE = re.compile(r"(?:\+|\b0)[\d ()/-]{4,}\d")


def hour(rest: Rest) -> float | None:
    """The clock time named ("7", "7:30"), in hours of the day; None when there is none."""
    times = _times(rest.note)
    return times[0] if times else None


def _times(text: str) -> list[float]:
    found = (int(m[1]) + int(m[2] or 0) / MINUTES for m in _CLOCK.finditer(text))
    return [time for time in found if time <= MIDNIGHT]


def clock(hour: float) -> str:
    """7.5 as 07:30."""
    minutes = round(hour * MINUTES)
    return f"{minutes // MINUTES:02}:{minutes % MINUTES:02}"


def duty(rest: Rest, who: str, zone_: str, at: datetime, book: Handbook, language: str) -> Rostered | None:
    """From when to when, on which days (all when none is named), and the number for the time outside."""
    phone = _PHONE.search(rest.note)
    text = rest.note.replace(phone[0], "") if phone else rest.note
    times = _times(text)[:2]
    if len(times) < len(("from", "to")) or times[0] >= times[1]:
        return None
    named = _days(rest, book, language)
    number = phone[0].strip() if phone else ""
    return Rostered(at=at, who=who, zone=zone_, days=named, from_hour=times[0], to_hour=times[1], number=number)


def _days(rest: Rest, book: Handbook, language: str) -> tuple[str, ...]:
    days = table(book, language, "days")
    at = rest.where(tuple(phrase for phrases in days.values() for phrase in phrases))
    named = at.take_all(days)[0] if at else ()
    return tuple(day for day in WEEKDAYS if day in named) or WEEKDAYS


def values(duty: Rostered) -> dict[str, object]:
    """The duty in words' values."""
    days = ", ".join(duty.days)
    hours = {"from": clock(duty.from_hour), "to": clock(duty.to_hour), "days": days}
    return {**hours, "zone": duty.zone, "number": duty.number or "–"}


def line(duty: Rostered) -> str:
    """The duty as the line that sets it in a case: the zone is its last word."""
    days = " ".join(duty.days)
    return f"hours {clock(duty.from_hour)} to {clock(duty.to_hour)} {days} {duty.number} {duty.zone}"


def moved(duty: Rostered | None, zone: str, at: datetime) -> Rostered | None:
    """The same hours by another clock."""
    return duty and duty.model_copy(update={"zone": zone, "at": at})


def set_hours(turn: Turn, bid: Bid) -> None:
    """Keep the clinician's hours in the case, where alerts are decided; the zone is the line's last word."""
    zone_ = bid.rest.line.split()[-1]
    told = duty(bid.rest, bid.by, zone_, turn.at, turn.book, bid.language)
    if told:
        turn.conclude(told)
