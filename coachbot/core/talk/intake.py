"""What a finished intake leads to: the case waits for a clinician's approval, and the clinicians are told."""

from datetime import date

from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import IntakeDone
from coachbot.core.rules import course
from coachbot.core.rules.safety import COACH
from coachbot.core.turn import Turn

SHOWN = ("mechanism", "gait", "age", "earlier")
"""Choices of the intake that the clinicians see at once, in words."""


def close(turn: Turn) -> None:
    """Record the intake, move the case on and tell both sides what comes next."""
    turn.conclude(IntakeDone(at=turn.at))
    course.advance(turn, "intake_done")
    turn.reply("intake.done", name=turn.state.name)
    told = turn.state.intake
    choices = tuple(Word(f"choice.{slot}.{told[slot]}") for slot in SHOWN if slot in told)
    side = Word(f"choice.side.{told['side']}")
    day = date.fromisoformat(str(told["injured_on"]))
    values = {"day": day, "name": turn.state.name, "side": side, "answers": choices}
    onset = tuple(Word("clinician.intake_onset", {"words": note.note}) for note in turn.state.notes if note.by == COACH)
    how = Word("clinician.approve_how", {"name": turn.state.name})
    turn.say(CLINICIANS, Word("clinician.intake_done", values), *onset, how)
