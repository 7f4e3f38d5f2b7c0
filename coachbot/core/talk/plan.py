"""The coming week in words: each day with its reasons, and what had to give; it issues nothing."""

from coachbot.core.effects import Word
from coachbot.core.rules.layout import Why
from coachbot.core.rules.today import TRAINS, week as planned
from coachbot.core.rules.week import Day
from coachbot.core.turn import Turn

from .because import because


def week(turn: Turn) -> tuple[Word, ...]:
    """Seven days as the rules allow them now; while nothing may be planned, why not."""
    if turn.state.hold:
        return (Word("week.held"),)
    if turn.state.course not in TRAINS:
        return (Word("week.not_yet"),)
    coming = planned(turn)
    days = [_day(turn, day) for day in coming.days]
    gave = [Word("week.gave", {"reason": _because(why)}) for why in coming.gave]
    return (Word("week.head"), *days, *gave, Word("week.tail"))


def _day(turn: Turn, day: Day) -> Word:
    """One day as planned; today says so when its training is over."""
    session, over = turn.state.session, turn.state.day_over
    if day.date == turn.today and over is not None and over[0] == turn.today:
        return Word("week.over", {"day": day.date, "reason": because(over[1])})
    if day.date == turn.today and session is not None and session.day == turn.today and session.over:
        return Word("week.over", {"day": day.date, "reason": Word("because.week.done_today")})
    values = {"day": day.date, "kind": Word(f"week.kind.{day.kind.value}"), "reasons": _why(day.reasons)}
    return Word("week.day", values)


def _why(reasons: tuple[Why, ...]) -> tuple[Word, ...]:
    return tuple(_because(why) for why in reasons)


def _because(why: Why) -> Word:
    rule = f"week.{why.key}"
    return Word(f"because.{rule}", dict(why.values))
