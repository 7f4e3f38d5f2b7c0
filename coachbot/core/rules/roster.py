"""Who can be reached at an instant: the list of the case, people in their hours first; it never delays an alert."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from coachbot.core.state import State

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def on_call(state: State, at: datetime) -> tuple[str, ...]:
    """The order in which an alert goes out now: who is in their hours, then the others; each in the list's order.

    Who has left is passed over, unless nobody else is on the list: an alert must go to somebody.
    """
    here = [each for each in state.clinicians if not gone(state, each)] or state.clinicians
    return tuple(sorted(here, key=lambda each: not in_hours(state, each, at)))


def gone(state: State, who: str) -> bool:
    """Whether this clinician has left: their hours are on no day."""
    duty = state.duties.get(who)
    return duty is not None and not duty.days


def in_hours(state: State, who: str, at: datetime) -> bool:
    """Whether this clinician can be reached now; one who set no hours always can."""
    duty = state.duties.get(who)
    if duty is None:
        return True
    local = at.astimezone(ZoneInfo(duty.zone))
    since_midnight = timedelta(hours=local.hour, minutes=local.minute) / timedelta(hours=1)
    return WEEKDAYS[local.weekday()] in duty.days and duty.from_hour <= since_midnight < duty.to_hour


def outside(state: State, at: datetime) -> str:
    """The number to call when nobody is in their hours; empty when somebody is, or nobody named one."""
    if any(in_hours(state, each, at) for each in state.clinicians):
        return ""
    return next((state.duties[each].number for each in state.clinicians if state.duties[each].number), "")
