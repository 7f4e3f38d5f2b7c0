"""Every act that changes a case, by name; a line is read, the right to it looked up, and its one function called."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coachbot.core.effects import Word
from coachbot.core.events import Acted, Intended
from coachbot.core.turn import Turn

from . import alarm, figures, hours, measure, plan, record, reviews
from .grammar import Order, read
from .rights import may
from .say import Bid, tell as _tell


@dataclass(frozen=True)
class Deed:
    """What an act does. A weighty one is repeated back at the desk and waits for a "yes"."""

    do: Callable[[Turn, Bid], None]
    weighty: bool = False


ACTS: dict[str, Deed] = {
    "approve": Deed(plan.approve),
    "limit": Deed(plan.limit),
    "pain-free": Deed(plan.pain_free),
    "families": Deed(plan.families),
    "days": Deed(plan.days),
    "open-fast": Deed(plan.open_fast, weighty=True),
    "open-early": Deed(plan.open_early),
    "waive": Deed(plan.waive, weighty=True),
    "up": Deed(plan.up, weighty=True),
    "down": Deed(plan.down),
    "signed": Deed(plan.signed),
    "automatic": Deed(plan.automatic),
    "confirm": Deed(plan.confirm),
    "refuse": Deed(plan.refuse),
    "hold": Deed(alarm.hold),
    "release": Deed(alarm.release, weighty=True),
    "acknowledge": Deed(alarm.acknowledge),
    "take": Deed(alarm.take),
    "pass": Deed(alarm.pass_on),
    "note": Deed(record.note),
    "message": Deed(record.message),
    "review": Deed(reviews.plan),
    "reviewed": Deed(reviews.done),
    "sign": Deed(record.sign, weighty=True),
    "not-cleared": Deed(record.not_cleared),
    "close": Deed(record.close, weighty=True),
    "hand": Deed(record.hand),
    "hours": Deed(hours.set_hours),
    "undo": Deed(record.undo),
    "measure": Deed(measure.measure),
    "top-speed": Deed(measure.top_speed),
    "kind": Deed(measure.kind),
    "weights": Deed(measure.weights),
    "weight": Deed(measure.weight),
    "criterion": Deed(measure.waive_criterion),
    "week": Deed(figures.show_week),
    "readiness": Deed(figures.show_ready),
    "load": Deed(figures.show_load),
    "outlook": Deed(figures.show_ahead),
    "summary": Deed(figures.show_summary),
}
"""Whoever adds an act writes its function, a line here, a line in rights.yaml and its phrases in acts.yaml."""

FITS: Mapping[str, str] = {
    "limit": "numbers",
    "days": "days",
    "families": "families",
    "up": "items",
    "down": "items",
}
"""What must follow a phrase that several acts share."""


def order(line: str, turn: Turn) -> Order:
    """What the line says, the athlete's name taken out of it."""
    return read(line, turn.book, FITS)


def act(turn: Turn, acted: Acted) -> None:
    """Carry out one line, or say kindly why not; a line that is not understood changes nothing."""
    said = order(acted.line, turn)
    deed = ACTS.get(said.act or "")
    if deed is None or said.act is None:
        return _tell(turn, acted.by, "desk.unknown", line=acted.line)
    if not may(acted.role, acted.by, said.act, turn.state, turn.book):
        return _tell(turn, acted.by, "desk.no_right")
    colleague = acted.colleague or _colleague(turn, acted)
    return deed.do(turn, Bid(acted.by, said.rest, colleague, said.language, acted.others))


def _colleague(turn: Turn, acted: Acted) -> str:
    """The clinician of the case whom the line names."""
    words = acted.line.lower().split()
    return next((each for each in turn.state.clinicians if each.lower() in words), "")


def intend(turn: Turn, intended: Intended) -> None:
    """Repeat a weighty line back; it is carried out only after a "yes"."""
    state = turn.state
    if intended.role != "clinician":  # the owner is told nothing of how the athlete is
        return _tell(turn, intended.by, "desk.confirm_unseen", line=intended.line)
    hold = Word("desk.now_held") if state.hold else Word("desk.now_free")
    course = Word(f"course.{state.course}")
    return _tell(turn, intended.by, "desk.confirm", line=intended.line, course=course, hold=hold)
