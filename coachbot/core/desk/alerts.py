"""When an alert is repeated, when it goes to the next person, and when the athlete is told that nobody answered."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from coachbot.core.book import Handbook, Tier
from coachbot.core.events import AthleteTold
from coachbot.core.rules.safety import send_alert
from coachbot.core.state import OpenAlert, State
from coachbot.core.turn import Turn


@dataclass(frozen=True)
class Next:
    """The next sending of an alert: when, and to whom."""

    at: datetime
    to: str
    round_over: bool


def waiting(state: State) -> list[OpenAlert]:
    """The alerts that no person has taken yet, oldest first."""
    return sorted((a for a in state.alerts.values() if a.taken_by is None), key=lambda a: a.raised_at)


def following(alert: OpenAlert, state: State, book: Handbook) -> Next:
    """The sending after the last one: the same person again, or the next on the list, and round again."""
    tier = book.tiers[alert.tier]
    each = int(tier.repeats.value) if tier.repeats else 1
    person = (alert.attempt // each) % len(state.clinicians)
    over = alert.attempt % (each * len(state.clinicians)) == 0
    return Next(alert.sent_at + _wait(tier), state.clinicians[person], over)


def _wait(tier: Tier) -> timedelta:
    every = tier.repeat_every or tier.acknowledge_within
    assert every is not None, "only tiers that alert have alerts"
    return timedelta(minutes=every.value)


def repeat(turn: Turn) -> None:
    """Send again every alert whose time has come; tell the athlete once the whole list was tried."""
    for alert in waiting(turn.state):
        coming = following(alert, turn.state, turn.book)
        if coming.at > turn.at:
            continue
        if coming.round_over and not alert.athlete_told:
            turn.conclude(AthleteTold(at=turn.at, alert=alert.alert))
            turn.reply(f"nobody_answered.{alert.tier}")
        send_alert(turn, alert.alert, alert.flag, alert.words, alert.attempt + 1, coming.to)
