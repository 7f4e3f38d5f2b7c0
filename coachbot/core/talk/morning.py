"""What a finished morning check-in leads to: the verdict on the last session, the ladders, today's session."""

from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import MorningTaken, Reopened
from coachbot.core.rules import course, ladder, running, signs, today
from coachbot.core.rules.morning import judge
from coachbot.core.turn import Turn

from . import after
from .session import say_today

SLOTS = ("walking", "sudden", "response")


def take(turn: Turn) -> MorningTaken:
    """Record the morning from today's answers."""
    answers = turn.state.answers
    response = answers.get("response")
    taken = MorningTaken(
        at=turn.at,
        day=turn.today,
        walking=float(str(answers["walking"].value)),
        masked=answers["walking"].masked,
        sudden=answers["sudden"].value is True,
        response=response.value if response and response.day == turn.today else None,  # type: ignore[arg-type]
    )
    turn.conclude(taken)
    return taken


def left(turn: Turn) -> None:
    """A check-in broken off after its score: the score stands, no session counts by it, and signs are looked for."""
    told = turn.state.answers.get("walking")
    last = turn.state.mornings[-1] if turn.state.mornings else None
    if told is None or (last is not None and told.day < last.day):
        return None
    score = float(str(told.value))
    if last is not None and last.day == told.day and last.walking == score:
        return None
    if last is not None and last.day == told.day and not last.partial:
        return taken_back(turn)
    sudden = turn.state.answers.get("sudden")
    said = sudden is not None and sudden.day == told.day and sudden.value is True
    turn.conclude(MorningTaken(at=turn.at, day=told.day, walking=score, masked=told.masked, sudden=said, partial=True))
    return signs.look(turn)


def close(turn: Turn) -> None:
    """Judge, climb, look for signs, move the course, prescribe and say it."""
    morning = take(turn)
    before = len(turn.state.alerts)
    for session in judge(turn, morning):
        ladder.judged(turn, session)
        running.judged(turn, session)
    after.minutes(turn)
    signs.look(turn)
    at_full_speed = turn.state.course == "testing"
    course.advance(turn, "morning")
    today.prescribe(turn)
    if len(turn.state.alerts) > before and turn.state.hold is None:
        turn.reply("hold.progression")
    if turn.state.course == "testing" and not at_full_speed:
        _full_speed(turn)
    say_today(turn)
    after.say(turn)


def _full_speed(turn: Turn) -> None:
    """Full speed without pain on enough days: both sides hear what comes next, and that it is not the end."""
    turn.reply("full_speed.athlete", n=len(set(turn.state.topped)))
    turn.say(CLINICIANS, Word("clinician.full_speed", {"name": turn.state.name, "n": len(set(turn.state.topped))}))


def taken_back(turn: Turn) -> None:
    """A corrected answer that holds the case: what the first version moved is taken back, and nothing is decided."""
    if turn.state.morning is not None and turn.state.morning.day == turn.today:
        turn.conclude(Reopened(at=turn.at))
        judge(turn, take(turn))


def corrected(turn: Turn) -> None:
    """The same from a corrected answer: what the first version moved is taken back, its alerts stay."""
    turn.conclude(Reopened(at=turn.at))
    close(turn)
