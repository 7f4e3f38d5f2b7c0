"""Acts on holds and alerts: stop, let go on, take, take over, pass on; the clock's part is in `alerts`."""

from coachbot.core.events import Acknowledged, AlertPassed, Held, Reason, Released
from coachbot.core.rules.safety import send_again
from coachbot.core.state import OpenAlert
from coachbot.core.talk import engine, relay, watch
from coachbot.core.talk.session import say_hold
from coachbot.core.turn import Turn

from .say import Bid, tell as _tell


def hold(turn: Turn, bid: Bid) -> None:
    """Stop all training, with a reason; small words ("now", "the training") are none."""
    note = bid.rest.note
    if not bid.rest.past(bid.rest.words["small"], skipping=False).pieces:
        return _tell(turn, bid.by, "desk.needs_reason", verb="hold")
    reason = Reason(rule="hold.clinician", saw={"by": bid.by, "note": note})
    turn.conclude(Held(at=turn.at, by=bid.by, reason=reason))
    watch.shelve(turn)
    watch.rest(turn, sudden=False)
    say_hold(turn)
    return _tell(turn, bid.by, "desk.held", note=note)


def release(turn: Turn, bid: Bid) -> None:
    """Let training go on, with a reason; it also answers the alerts of the case."""
    note = bid.rest.note
    if turn.state.hold is None:
        return _tell(turn, bid.by, "desk.not_held")
    if not note:
        return _tell(turn, bid.by, "desk.needs_reason", verb="release")
    answer(turn, bid.by)
    relay.flush(turn)
    turn.conclude(Released(at=turn.at, by=bid.by, note=note))
    turn.reply("released.athlete", who=bid.by)
    if turn.state.shelved:
        watch.question(turn, turn.state.shelved)
    else:
        engine.go_on(turn)
    return _tell(turn, bid.by, "desk.released", note=note)


def answer(turn: Turn, by: str) -> None:
    """Every open alert of the case is this person's now."""
    for alert in _open(turn):
        turn.conclude(Acknowledged(at=turn.at, alert=alert.alert, by=by))


def acknowledge(turn: Turn, bid: Bid) -> None:
    """Take the open alerts: those named by their id, or all."""
    waiting = _named(_open(turn), bid)
    if not waiting:
        taken = [a for a in _live(turn) if a.taken_by]
        if taken and taken[-1].taken_by == bid.by:
            return _tell(turn, bid.by, "desk.yours_already")
        if taken:
            return _tell(turn, bid.by, "desk.taken_already", who=taken[-1].taken_by)
        return _tell(turn, bid.by, "desk.no_alert")
    for alert in waiting:
        turn.conclude(Acknowledged(at=turn.at, alert=alert.alert, by=bid.by))
        turn.reply("alert.taken", who=bid.by)
    return _yours(turn, bid.by, len(waiting))


def _yours(turn: Turn, by: str, n: int) -> None:
    _tell(turn, by, "desk.acknowledged", n=n)
    if turn.state.hold:
        _tell(turn, by, "desk.hold_stays")


def take(turn: Turn, bid: Bid) -> None:
    """Take alerts over, also those that a colleague has: the last ones, or those named."""
    mine = [a for a in _named(_live(turn), bid) if a.taken_by != bid.by]
    if not mine:
        return _tell(turn, bid.by, "desk.no_alert")
    for alert in mine:
        turn.conclude(Acknowledged(at=turn.at, alert=alert.alert, by=bid.by))
        if alert.taken_by:
            _tell(turn, alert.taken_by, "desk.taken_over", who=bid.by)
    turn.reply("alert.taken", who=bid.by)
    return _yours(turn, bid.by, len(mine))


def pass_on(turn: Turn, bid: Bid) -> None:
    """Pass alerts on to a colleague on the list: they get them at once, and the clock runs for them."""
    to = bid.colleague
    if to not in turn.state.clinicians or to == bid.by:
        others = tuple(each for each in turn.state.clinicians if each != bid.by)
        return _tell(turn, bid.by, "desk.pass_how", people=others or "–")
    passed = [a for a in _named(_unsettled(turn), bid) if a.taken_by != to]
    if not passed:
        theirs = any(a.taken_by == to for a in _unsettled(turn))
        return _tell(turn, bid.by, "desk.theirs_already" if theirs else "desk.none_to_pass", to=to)
    for alert in passed:
        turn.conclude(AlertPassed(at=turn.at, alert=alert.alert, by=bid.by, to=to))
        again = turn.state.alerts[alert.alert]
        send_again(turn, alert, to, again.round)
    return _tell(turn, bid.by, "desk.passed", to=to, n=len(passed))


def _open(turn: Turn) -> list[OpenAlert]:
    return [a for a in turn.state.alerts.values() if a.taken_by is None]


def _unsettled(turn: Turn) -> list[OpenAlert]:
    """The alerts that are open, else those of the hold that still stands; once it is released they are history."""
    hold = turn.state.hold
    return _open(turn) or [a for a in turn.state.alerts.values() if hold and a.raised_at >= hold.since]


def _live(turn: Turn) -> list[OpenAlert]:
    """The alerts that are open or of a hold that stands, else the last one that no release had to settle."""
    last = list(turn.state.alerts.values())[-1:]
    return _unsettled(turn) or [a for a in last if not turn.book.tiers[a.tier].holds]


def _named(alerts: list[OpenAlert], bid: Bid) -> list[OpenAlert]:
    """The alerts whose ids stand in the line, or all of them."""
    line = bid.rest.line.lower().split()
    return [a for a in alerts if a.alert.lower() in line] or alerts
