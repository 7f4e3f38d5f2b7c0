"""Local days and instants: labels in the athlete's zone, gaps in elapsed time; it never asks what time it is."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def local_day(at: datetime, zone: str) -> date:
    """The athlete's calendar day at this instant."""
    return at.astimezone(ZoneInfo(zone)).date()


def instant(day: date, hour: float, zone: str) -> datetime:
    """The UTC instant of this wall-clock hour (8.5 is 08:30) on this local day.

    A time that the clock change skips moves forward; one that comes twice is the first (PEP 495, fold=0).
    """
    minutes = round(hour * 60)
    wall = datetime.combine(day, time(minutes // 60, minutes % 60), tzinfo=ZoneInfo(zone))
    return wall.astimezone(UTC)


def hours_between(earlier: datetime, later: datetime) -> float:
    """Elapsed hours, clock changes left out of account."""
    return (later.astimezone(UTC) - earlier.astimezone(UTC)) / timedelta(hours=1)


def days_between(earlier: date, later: date) -> int:
    """Whole calendar days from one label to another."""
    return (later - earlier).days
