"""When an alert is repeated, when it goes to the next person, and when the athlete is told that nobody answered."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from coachbot.core.book import Handbook, Tier
from coachbot.core.events import AthleteTold
from coachbot.core.rules.roster import gone, on_call
from coachbot.core.rules.safety import outside_hours, send_again
from coachbot.core.state import OpenAlert, State
from coachbot.core.turn import Turn


@dataclass(frozen=True)
class Next:
    """The next sending of an alert: when, to whom, and in which round through the list."""

    at: datetime
    to: str
    round: int


def waiting(state: State) -> list[OpenAlert]:
    """The alerts that no person has taken yet, oldest first."""
    return sorted((a for a in state.alerts.values() if a.taken_by is None), key=lambda a: a.raised_at)


def following(alert: OpenAlert, state: State, book: Handbook) -> Next:
    """The sending after the last one: the same person again, the next one who was not tried, or the list anew."""
    tier = book.tiers[alert.tier]
    each = int(tier.repeats.value) if tier.repeats and not alert.athlete_told else 1
    at = alert.sent_at + _wait(alert, tier, book)
    if alert.tries < each and not gone(state, alert.to):
        return Next(at, alert.to, alert.round)
    order = on_call(state, at)
    untried = next((person for person in order if person not in alert.tried), None)
    return Next(at, untried, alert.round) if untried else Next(at, order[0], alert.round + 1)


def _wait(alert: OpenAlert, tier: Tier, book: Handbook) -> timedelta:
    """Minutes between two sendings; slower once the athlete was told to help themselves."""
    every = tier.repeat_every or tier.acknowledge_within
    assert every is not None, "only tiers that alert have alerts"
    again = book.numbers["desk.alert_again"].value if alert.athlete_told else 0
    return timedelta(minutes=max(every.value, again))


def repeat(turn: Turn) -> None:
    """Send again every alert whose time has come; tell the athlete once the whole list was tried."""
    for alert in waiting(turn.state):
        coming = following(alert, turn.state, turn.book)
        if coming.at > turn.at:
            continue
        if coming.round > alert.round and not alert.athlete_told:
            turn.conclude(AthleteTold(at=turn.at, alert=alert.alert))
            turn.reply(f"nobody_answered.{alert.tier}")
            outside_hours(turn)
        send_again(turn, alert, coming.to, coming.round)
