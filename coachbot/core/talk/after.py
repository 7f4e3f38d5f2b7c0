"""What a check-in after the return adds: minutes in play, a match ceiling, reminders, the end of the close watch."""

from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Prompted
from coachbot.core.rules import afterwards
from coachbot.core.turn import Turn

from .because import because


def minutes(turn: Turn) -> None:
    """Record the minutes of yesterday's match, when this check-in told them."""
    told = turn.state.answers.get("play_minutes")
    recorded = turn.state.played and turn.state.played[-1].at.date() == turn.at.date()
    if told is not None and told.day == turn.today and not recorded:
        afterwards.played(turn, float(str(told.value)))


def say(turn: Turn) -> None:
    """What belongs to today's message after the return; nothing before it or on hold."""
    if afterwards.day_of_return(turn.state, turn.today) is None or turn.state.hold:
        return
    if afterwards.match_on(turn, turn.today):
        turn.reply("after.match", minutes=afterwards.most_minutes(turn))
    for reason in afterwards.reminders(turn):
        turn.reply("after.reminder", reason=because(reason))
    if afterwards.watch_over(turn):
        turn.conclude(Prompted(at=turn.at, what="watch", day=turn.today))
        turn.reply("after.watch_over")
        turn.say(CLINICIANS, Word("clinician.watch_over", {"name": turn.state.name}))
