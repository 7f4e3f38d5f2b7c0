"""Red flags and watch signs: raising one stops, advises and alerts in the same step; it never diagnoses."""

from datetime import date

from coachbot.core.days import days_between
from coachbot.core.effects import Alert, Word
from coachbot.core.events import Alerted, Flagged, Held, Reason, Scalar
from coachbot.core.state import State
from coachbot.core.turn import Turn

from .roster import on_call, outside

COACH = "coach"


def raise_flag(turn: Turn, flag: str, words: str, **saw: Scalar) -> None:
    """Record a sign and do all that its tier asks: hold, advise the athlete, alert the clinicians."""
    entry = turn.book.flags[flag]
    tier = turn.book.tiers[entry.tier]
    reason = Reason(rule=f"flag.{flag}", saw={"words": words, **saw}, number=f"flags.{flag}")
    turn.conclude(Flagged(at=turn.at, flag=flag, tier=entry.tier, words=words, reason=reason))
    if tier.holds and turn.state.hold is None:
        turn.conclude(Held(at=turn.at, by=COACH, reason=reason))
    if tier.acknowledge_within or tier.repeat_every:
        turn.reply(entry.advice or f"stop.{entry.tier}", flag=Word(f"flag.{flag}"))
        if tier.holds:
            outside_hours(turn)
        first = on_call(turn.state, turn.at)[0]
        send_alert(turn, f"{turn.state.case}-a{len(turn.state.alerts) + 1}", flag, words, 1, first, 1)


def outside_hours(turn: Turn) -> None:
    """When no clinician is in their hours, the athlete gets the number for that time at once."""
    number = outside(turn.state, turn.at)
    if number:
        turn.reply("stop.outside_hours", number=number)


def send_alert(turn: Turn, alert: str, flag: str, words: str, attempt: int, person: str, round: int) -> None:
    """Give an alert to one clinician; `round` counts how often the list was begun."""
    tier = turn.book.flags[flag].tier
    sent = Alerted(at=turn.at, alert=alert, flag=flag, tier=tier, words=words, to=person, attempt=attempt, round=round)
    turn.conclude(sent)
    turn.alert(Alert(person, alert, tier, _handover(turn, alert, flag, words)))


def rises_blocked(state: State) -> bool:
    """Whether an alert that nobody has taken yet keeps every ladder where it is."""
    return any(alert.taken_by is None for alert in state.alerts.values())


def _handover(turn: Turn, alert: str, flag: str, words: str) -> tuple[Word, ...]:
    """Situation, background, assessment, recommendation: the order clinicians hand over in (Mueller 2018)."""
    state, tier = turn.state, turn.book.flags[flag].tier
    scores: object = [m.walking for m in state.mornings[-3:]] or "–"
    return (
        Word("alert.situation", {"name": state.name, "tier": Word(f"tier.{tier}"), "alert": alert}),
        Word(
            "alert.background",
            {"course": Word(f"course.{state.course}"), "scores": scores, "day": injury_day(turn)},
        ),
        Word("alert.assessment", {"flag": Word(f"flag.{flag}"), "words": words}),
        Word(f"alert.recommendation.{tier}", {"alert": alert, "name": state.name}),
    )


def injury_day(turn: Turn) -> str:
    """Days since the injury as a word for messages; a dash before the date is known."""
    day = day_of_injury(turn)
    return "–" if day is None else str(day)


def day_of_injury(turn: Turn) -> int | None:
    """Whole days since the injury, None before the date is known."""
    told = turn.state.intake.get("injured_on")
    return days_between(date.fromisoformat(told), turn.today) if isinstance(told, str) else None
