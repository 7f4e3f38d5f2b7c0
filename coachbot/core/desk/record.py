"""Acts on the record and its end: notes, messages, clearance, discharge, hand-over, undo; training is elsewhere."""

from coachbot.core.effects import Word
from coachbot.core.events import Cleared, Closed, HandedOver, Messaged, NotCleared, Noted, Undone
from coachbot.core.rules import course
from coachbot.core.rules.roster import gone
from coachbot.core.talk import relay
from coachbot.core.talk.session import say_hold
from coachbot.core.turn import Turn

from . import alarm, figures
from .say import Bid, tell as _tell


def note(turn: Turn, bid: Bid) -> None:
    """Write a note for the record."""
    if not bid.rest.note:
        return _tell(turn, bid.by, "desk.note_how")
    turn.conclude(Noted(at=turn.at, by=bid.by, note=bid.rest.note))
    return _tell(turn, bid.by, "desk.noted")


def message(turn: Turn, bid: Bid) -> None:
    """Send the athlete a message in the clinician's own words."""
    words = bid.rest.note
    if not words:
        return _tell(turn, bid.by, "desk.message_how")
    turn.conclude(Messaged(at=turn.at, by=bid.by, words=words))
    turn.reply("message.athlete", who=bid.by, words=words)
    return _tell(turn, bid.by, "desk.messaged", words=words)


def sign(turn: Turn, bid: Bid) -> None:
    """Sign the return to sport: a named clinician's word, with a reason."""
    if turn.state.course != "testing" or turn.state.hold:
        return _tell(turn, bid.by, "desk.not_testing", course=Word(f"course.{turn.state.course}"))
    if not bid.rest.note:
        return _tell(turn, bid.by, "desk.needs_reason", verb="sign")
    turn.conclude(Cleared(at=turn.at, by=bid.by, note=bid.rest.note))
    course.advance(turn, "cleared")
    turn.reply("cleared.athlete", who=bid.by)
    return _tell(turn, bid.by, "desk.cleared")


def not_cleared(turn: Turn, bid: Bid) -> None:
    """Say that the return is not signed yet, and why."""
    if turn.state.course != "testing":
        return _tell(turn, bid.by, "desk.not_testing", course=Word(f"course.{turn.state.course}"))
    if not bid.rest.note:
        return _tell(turn, bid.by, "desk.needs_reason", verb="refuse clearance")
    turn.conclude(NotCleared(at=turn.at, by=bid.by, note=bid.rest.note))
    turn.reply("not_cleared.athlete", who=bid.by)
    return _tell(turn, bid.by, "desk.not_cleared", note=bid.rest.note)


def close(turn: Turn, bid: Bid) -> None:
    """Discharge the athlete; open alerts are answered by it."""
    if turn.state.course == "closed":
        return _tell(turn, bid.by, "desk.closed_already")
    alarm.answer(turn, bid.by)
    relay.flush(turn)
    came_to = figures.summary(turn)
    turn.conclude(Closed(at=turn.at, by=bid.by, note=bid.rest.note))
    course.advance(turn, "closed")
    turn.reply("closed.athlete", who=bid.by)
    turn.say(bid.by, *came_to)
    return _tell(turn, bid.by, "desk.closed")


def hand(turn: Turn, bid: Bid) -> None:
    """Hand the case to a colleague, who is first on its list from now on; who has left is on it no more."""
    to, listed = bid.colleague, turn.state.clinicians
    order = (to, *(each for each in listed if each != to and not gone(turn.state, each)))
    if not to or order == listed:
        others = tuple(each for each in listed if each != listed[0])
        return _tell(turn, bid.by, "desk.hand_how", people=others or "–")
    turn.conclude(HandedOver(at=turn.at, by=bid.by, to=to, clinicians=order, note=""))
    if to != listed[0]:
        turn.reply("handed.athlete", who=to)
    if to != bid.by:
        _tell(turn, to, "desk.handed_to_you", who=bid.by)
    if bid.by not in listed:
        return _tell(turn, bid.by, "desk.handed_on", to=to)
    return _tell(turn, bid.by, "desk.handed", to=to)


def undo(turn: Turn, bid: Bid) -> None:
    """Take back this clinician's last act, as long as nothing has followed from it."""
    last = turn.state.undo
    if last is None:
        _tell(turn, bid.by, "desk.nothing_to_undo")
        if turn.state.hold and bid.by in turn.state.clinicians:  # nobody else may know of it, nor end it
            _tell(turn, bid.by, "desk.hold_stays")
        return None
    if last.by != bid.by:
        return _tell(turn, bid.by, "desk.not_yours", who=last.by)
    trained = turn.state.hold is None
    turn.conclude(Undone(at=turn.at, by=bid.by))
    turn.reply("undone.held" if trained and turn.state.hold else "undone.athlete", who=bid.by)
    say_hold(turn)
    return _tell(turn, bid.by, "desk.undone", line=last.line)
