"""The next-morning rule: whether yesterday's session counts; it moves no ladder itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from coachbot.core.book import Morning
from coachbot.core.events import Judged, MorningTaken, Reason, Scalar, Verdict
from coachbot.core.state import Session
from coachbot.core.turn import Turn


@dataclass(frozen=True)
class Bounds:
    """The numbers of the rule as they stand for this athlete (0-10 scale; `base_mornings` a count)."""

    base_mornings: int
    rise_counts: float
    rise_rest: float
    score_rest: float
    limit: float


def bounds(turn: Turn) -> Bounds:
    """The rule's numbers for this athlete."""
    rule: Morning = turn.book.programme.morning
    return Bounds(
        int(turn.value(rule.base_mornings)),
        turn.value(rule.rise_counts),
        turn.value(rule.rise_rest),
        turn.value(rule.score_rest),
        turn.value(turn.book.programme.pain.limit),
    )


def usual(scores: Sequence[float], count: int) -> float:
    """The usual morning score: the median of the last `count` scores, at least one of which is given."""
    return median(scores[-count:])


def verdict(score: float, base: float, rule: Bounds) -> tuple[Verdict, str]:
    """The word of a morning `score` against the usual one, with the name of the rule that gave it.

    Rests at base + `rise_rest` or at `score_rest`; counts up to base + `rise_counts` within the limit; repeats between.
    """
    if score >= base + rule.rise_rest or score >= rule.score_rest:
        return "rest", "morning.rest"
    if score > rule.limit:
        return "repeat", "morning.over_limit"
    if score > base + rule.rise_counts:
        return "repeat", "morning.rose"
    return "counts", "morning.counts"


def judge(turn: Turn, morning: MorningTaken) -> list[Session]:
    """Say for every session that waits for a morning what this one says of it; returns those that count."""
    waiting = [s for s in turn.state.sessions if s.awaits_morning and s.day < morning.day]
    return [session for session in waiting if _judge(turn, session, morning) == "counts"]


def spoilt(turn: Turn, reason: Reason) -> None:
    """Something was told between two check-ins: what waits for its morning is repeated, whatever the morning says."""
    for session in [s for s in turn.state.sessions if s.awaits_morning]:
        turn.conclude(Judged(at=turn.at, session=session.number, verdict="repeat", reason=reason))


NUMBERS = {
    "morning.counts": "morning.rise_counts",
    "morning.rose": "morning.rise_counts",
    "morning.rest": "morning.rise_rest",
    "morning.over_limit": "pain.limit",
}
"""The handbook entry behind each verdict; the others are rules without a number."""


def _judge(turn: Turn, session: Session, morning: MorningTaken) -> Verdict:
    rule = bounds(turn)
    base = usual([m.walking for m in turn.state.mornings if m.day <= session.day], rule.base_mornings)
    word, name = verdict(morning.walking, base, rule)
    if word == "counts":
        word, name = _doubts(session, morning, name)
    saw: dict[str, Scalar] = {"score": morning.walking, "base": base, "limit": rule.limit, "session": session.number}
    reason = Reason(rule=name, saw=saw, number=NUMBERS.get(name))
    turn.conclude(Judged(at=turn.at, session=session.number, verdict=word, reason=reason))
    return word


def _doubts(session: Session, morning: MorningTaken, name: str) -> tuple[Verdict, str]:
    """What takes a good number back: a morning without a report, a painkiller, a worse leg, something sudden."""
    if (morning.day - session.day).days > 1:
        return "repeat", "morning.missing"
    if morning.masked or any(r.masked for r in session.results.values()):
        return "repeat", "morning.masked"
    if morning.response == "worse":
        return "repeat", "morning.worse"
    if morning.sudden or session.sudden:
        return "repeat", "morning.sudden"
    return "counts", name
