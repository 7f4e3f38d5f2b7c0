"""The coming week in words: each day with its reasons, and what had to give; it issues nothing."""

from coachbot.core.effects import Word
from coachbot.core.rules.layout import Why
from coachbot.core.rules.today import TRAINS, week as planned
from coachbot.core.turn import Turn


def week(turn: Turn) -> tuple[Word, ...]:
    """Seven days as the rules allow them now; while nothing may be planned, why not."""
    if turn.state.hold:
        return (Word("week.held"),)
    if turn.state.course not in TRAINS:
        return (Word("week.not_yet"),)
    coming = planned(turn)
    days = [
        Word("week.day", {"day": day.date, "kind": Word(f"week.kind.{day.kind.value}"), "reasons": _why(day.reasons)})
        for day in coming.days
    ]
    gave = [Word("week.gave", {"reason": _because(why)}) for why in coming.gave]
    return (Word("week.head"), *days, *gave, Word("week.tail"))


def _why(reasons: tuple[Why, ...]) -> tuple[Word, ...]:
    return tuple(_because(why) for why in reasons)


def _because(why: Why) -> Word:
    rule = f"week.{why.key}"
    return Word(f"because.{rule}", dict(why.values))
