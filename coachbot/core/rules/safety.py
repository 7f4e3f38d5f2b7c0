"""Red flags and watch signs: raising one stops, advises and alerts in the same step; it never diagnoses."""

from collections.abc import Iterable
from datetime import date

from coachbot.core.days import days_between
from coachbot.core.effects import Alert, Word
from coachbot.core.events import Alerted, Flagged, Held, Reason, Scalar
from coachbot.core.state import OpenAlert, State
from coachbot.core.turn import Turn

from .roster import on_call, outside

COACH = "coach"
LONGEST = 300
"""How many characters of a message a clinician is shown, so that an alert stays short."""


def raise_flag(turn: Turn, flag: str, words: str, **saw: Scalar) -> None:
    """Record a sign and do all that its tier asks: hold, advise the athlete, alert the clinicians."""
    entry = turn.book.flags[flag]
    tier = turn.book.tiers[entry.tier]
    reason = Reason(rule=f"flag.{flag}", saw={"words": words, **saw}, number=f"flags.{flag}")
    turn.conclude(Flagged(at=turn.at, flag=flag, tier=entry.tier, words=words, reason=reason))
    if tier.holds and turn.state.hold is None:
        turn.conclude(Held(at=turn.at, by=COACH, reason=reason))
    if tier.acknowledge_within or tier.repeat_every:
        stopped = turn.state.hold is not None and not tier.holds  # "gentle movement is fine" is wrong then
        turn.reply("stop.held" if stopped else entry.advice or f"stop.{entry.tier}", flag=Word(f"flag.{flag}"))
        if tier.holds:
            outside_hours(turn)
        first = on_call(turn.state, turn.at)[0]
        id = f"{turn.state.case}-a{len(turn.state.alerts) + 1}"
        at, said = turn.at, turn.state.said
        sent = Alerted(at=at, alert=id, flag=flag, tier=entry.tier, words=words, to=first, attempt=1, said=said)
        send_alert(turn, sent)


def outside_hours(turn: Turn) -> None:
    """When no clinician is in their hours, the athlete gets the number for that time at once."""
    number = outside(turn.state, turn.at)
    if number:
        turn.reply("stop.outside_hours", number=number)


def send_again(turn: Turn, alert: OpenAlert, person: str, round: int) -> None:
    """Give an alert once more, to the same clinician or the next; `round` counts how often the list was begun."""
    sent = Alerted(
        at=turn.at,
        alert=alert.alert,
        flag=alert.flag,
        tier=turn.book.flags[alert.flag].tier,
        words=alert.words,
        to=person,
        attempt=alert.attempt + 1,
        round=round,
        said=alert.said,
    )
    send_alert(turn, sent)


def send_alert(turn: Turn, sent: Alerted) -> None:
    """Give an alert to one clinician."""
    turn.conclude(sent)
    turn.alert(Alert(sent.to, sent.alert, sent.tier, _handover(turn, sent)))


def rises_blocked(state: State) -> bool:
    """Whether an alert that nobody has taken yet keeps every ladder where it is."""
    return any(alert.taken_by is None for alert in state.alerts.values())


def _handover(turn: Turn, sent: Alerted) -> tuple[Word, ...]:
    """Situation, background, assessment, recommendation: the order clinicians hand over in (Mueller 2018)."""
    state, tier = turn.state, sent.tier
    scores: object = [m.walking for m in state.mornings[-3:]] or "–"
    return (
        Word("alert.situation", {"name": state.name, "tier": Word(f"tier.{tier}"), "alert": sent.alert}),
        Word(
            "alert.background",
            {"course": Word(f"course.{state.course}"), "scores": scores, "day": injury_day(turn)},
        ),
        Word("alert.assessment", {"flag": Word(f"flag.{sent.flag}"), "words": sent.words}),
        *((Word("alert.said", {"said": quoted(sent.said)}),) if sent.said not in ((), (sent.words,)) else ()),
        Word(f"alert.recommendation.{tier}", {"alert": sent.alert, "name": state.name}),
    )


def quoted(said: Iterable[str], longest: int = LONGEST) -> tuple[Word, ...]:
    """Whole messages between quotation marks: on one line each, cut when very long, without marks of their own."""
    lines = (" ".join("".join(c if c.isprintable() else " " for c in each).split()) for each in said)
    cut = (line if len(line) <= longest else line[:longest].rstrip() + "…" for line in lines)
    return tuple(Word("case.quote", {"words": line.replace('"', "'")}) for line in cut)


def injury_day(turn: Turn) -> str:
    """Days since the injury as a word for messages; a dash before the date is known."""
    day = day_of_injury(turn)
    return "–" if day is None else str(day)


def day_of_injury(turn: Turn) -> int | None:
    """Whole days since the injury, None before the date is known."""
    told = turn.state.intake.get("injured_on")
    return days_between(date.fromisoformat(told), turn.today) if isinstance(told, str) else None
