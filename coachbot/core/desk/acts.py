"""What a clinician's line does to a case: one function a verb; each says back what changed, with the reason kept."""

from collections.abc import Callable

from coachbot.core.effects import Word
from coachbot.core.events import Acknowledged, Acted, Approved, Chose, Cleared, Closed, Held, Intended, Limited, Noted, Opened, Reason, Refused, Released, Stepped, Waived
from coachbot.core.rules import course, running
from coachbot.core.rules.ladder import equipped
from coachbot.core.state import RUN
from coachbot.core.talk import engine, ends, watch
from coachbot.core.turn import Turn

Act = Callable[[Turn, str, list[str]], None]


def act(turn: Turn, acted: Acted) -> None:
    """Carry out one line, or say kindly why not; a line that is not understood changes nothing."""
    verb, *words = acted.line.split()
    doing = ACTS.get(verb.lower())
    if doing is None:
        return _tell(turn, acted.by, "desk.unknown", line=acted.line)
    return doing(turn, acted.by, words)


def intend(turn: Turn, intended: Intended) -> None:
    """Repeat a weighty line back; it is carried out only after a "yes"."""
    _tell(turn, intended.by, "desk.confirm", line=intended.line)


def _tell(turn: Turn, to: str, key: str, /, **values: object) -> None:
    turn.say(to, Word(key, {"name": turn.state.name, **values}))


def _approve(turn: Turn, by: str, words: list[str]) -> None:
    if turn.state.course != "screened":
        return _tell(turn, by, "desk.not_screened", course=Word(f"course.{turn.state.course}"))
    named = tuple(w for w in words if w in turn.book.ladders)
    families = named or _suggested(turn)
    turn.conclude(Approved(at=turn.at, by=by, families=families, signed="signed" in words))
    course.advance(turn, "approved")
    turn.reply("approved.athlete", who=by)
    mode = Word("desk.mode.signed" if turn.state.signed else "desk.mode.automatic")
    return _tell(turn, by, "desk.approved", families=tuple(Word(f"family.{f}") for f in families), mode=mode)


def _suggested(turn: Turn) -> tuple[str, ...]:
    """One family of each required group that the equipment allows, and the gentle movements."""
    ladders = sorted(turn.book.ladders.values(), key=lambda each: each.priority)
    chosen: dict[str, str] = {}
    for ladder in ladders:
        fits = equipped(turn, ladder.level(1))
        if ladder.required and (fits or ladder.group not in chosen):
            chosen.setdefault(ladder.group, ladder.family)
    gentle = tuple(each.family for each in ladders if not each.climbs)
    return (*chosen.values(), *gentle)


def _acknowledge(turn: Turn, by: str, words: list[str]) -> None:
    open_alerts = [a for a in turn.state.alerts.values() if a.taken_by is None]
    named = [a for a in open_alerts if a.alert in words] or open_alerts
    if not named:
        return _tell(turn, by, "desk.no_alert")
    for alert in named:
        turn.conclude(Acknowledged(at=turn.at, alert=alert.alert, by=by))
        turn.reply("alert.taken", who=by)
    return _tell(turn, by, "desk.acknowledged", n=len(named))


def _hold(turn: Turn, by: str, words: list[str]) -> None:
    note = " ".join(words)
    if not note:
        return _tell(turn, by, "desk.needs_reason", verb="hold")
    reason = Reason(rule="hold.clinician", saw={"by": by, "note": note})
    turn.conclude(Held(at=turn.at, by=by, reason=reason))
    watch.rest(turn, sudden=False)
    return _tell(turn, by, "desk.held", note=note)


def _release(turn: Turn, by: str, words: list[str]) -> None:
    note = " ".join(words)
    if turn.state.hold is None:
        return _tell(turn, by, "desk.not_held")
    if not note:
        return _tell(turn, by, "desk.needs_reason", verb="release")
    for alert in [a for a in turn.state.alerts.values() if a.taken_by is None]:
        turn.conclude(Acknowledged(at=turn.at, alert=alert.alert, by=by))
    turn.conclude(Released(at=turn.at, by=by, note=note))
    turn.reply("released.athlete", who=by)
    ends.released(turn)
    engine.ask(turn)
    return _tell(turn, by, "desk.released", note=note)


def _limit(turn: Turn, by: str, words: list[str]) -> None:
    key, value, note = (words[0] if words else ""), (words[1] if len(words) > 1 else ""), " ".join(words[2:])
    number = turn.book.numbers.get(key)
    try:
        wanted = float(value)
    except ValueError:
        number = None
    if number is None:
        return _tell(turn, by, "desk.limit_how")
    low, high = number.range
    if not number.allows(wanted):
        return _tell(turn, by, "desk.out_of_range", key=key, value=wanted, low=low, high=high)
    turn.conclude(Limited(at=turn.at, by=by, number=key, value=wanted, note=note))
    turn.reply("limited.athlete", who=by)
    return _tell(turn, by, "desk.limited", key=key, value=wanted, unit=number.unit)


def _open(turn: Turn, by: str, words: list[str]) -> None:
    what, note = (words[0] if words else ""), " ".join(words[1:])
    if what not in ("fast", "early-run"):
        return _tell(turn, by, "desk.open_how")
    turn.conclude(Opened(at=turn.at, by=by, what="fast" if what == "fast" else "early-run", note=note))
    if what == "fast":
        running.opened(turn)
        course.advance(turn, "morning")
    turn.reply(f"opened.{what}", who=by)
    return _tell(turn, by, "desk.opened", what=Word(f"opens.{what}"))


def _waive(turn: Turn, by: str, words: list[str]) -> None:
    item, to, note = (words[0] if words else ""), (words[1] if len(words) > 1 else ""), " ".join(words[2:])
    places = _places(turn, item)
    if not to.replace(".", "", 1).isdigit() or float(to) not in places:
        return _tell(turn, by, "desk.waive_how", items=(*turn.state.ladders, RUN))
    if not note:
        return _tell(turn, by, "desk.needs_reason", verb="waive")
    turn.conclude(Waived(at=turn.at, by=by, item=item, to=float(to), note=note))
    reason = Reason(rule="waived", saw={"by": by, "note": note})
    turn.conclude(Stepped(at=turn.at, item=item, to=float(to), by=by, reason=reason))
    turn.reply("waived.athlete", who=by)
    return _tell(turn, by, "desk.waived", item=item, to=float(to), note=note)


def _places(turn: Turn, item: str) -> list[float]:
    if item == RUN:
        return running.every_speed(turn)
    ladder = turn.book.ladders.get(item)
    return [float(n) for n in range(1, ladder.top + 1)] if ladder else []


def _families(turn: Turn, by: str, words: list[str]) -> None:
    named = tuple(w for w in words if w in turn.book.ladders)
    if not named:
        return _tell(turn, by, "desk.families_how", families=tuple(turn.book.ladders))
    turn.conclude(Chose(at=turn.at, by=by, families=named))
    return _tell(turn, by, "desk.families", families=tuple(Word(f"family.{f}") for f in named))


def _mode(turn: Turn, by: str, *, signed: bool) -> None:
    turn.conclude(Chose(at=turn.at, by=by, signed=signed))
    _tell(turn, by, "desk.mode", mode=Word("desk.mode.signed" if signed else "desk.mode.automatic"))


def _confirm(turn: Turn, by: str, words: list[str]) -> None:
    waiting = _proposed(turn, words)
    if not waiting:
        return _tell(turn, by, "desk.nothing_proposed")
    for item, to in waiting:
        reason = Reason(rule="rise.confirmed", saw={"by": by})
        turn.conclude(Stepped(at=turn.at, item=item, to=to, by=by, reason=reason))
    turn.reply("confirmed.athlete", who=by)
    return _tell(turn, by, "desk.confirmed", items=tuple(f"{item} -> {to:g}" for item, to in waiting))


def _refuse(turn: Turn, by: str, words: list[str]) -> None:
    waiting = _proposed(turn, words)
    if not waiting:
        return _tell(turn, by, "desk.nothing_proposed")
    for item, _ in waiting:
        turn.conclude(Refused(at=turn.at, by=by, item=item, note=" ".join(words)))
    return _tell(turn, by, "desk.refused", items=tuple(item for item, _ in waiting))


def _proposed(turn: Turn, words: list[str]) -> list[tuple[str, float]]:
    """The rises that wait for a word: those named, or all of them."""
    rungs = {**turn.state.ladders, **({RUN: turn.state.run} if turn.state.run else {})}
    waiting = [(item, rung.proposed) for item, rung in rungs.items() if rung.proposed is not None]
    return [(item, to) for item, to in waiting if to and (item in words or not set(words) & set(rungs))]


def _note(turn: Turn, by: str, words: list[str]) -> None:
    turn.conclude(Noted(at=turn.at, by=by, note=" ".join(words)))
    _tell(turn, by, "desk.noted")


def _clear(turn: Turn, by: str, words: list[str]) -> None:
    if turn.state.course != "testing" or turn.state.hold:
        return _tell(turn, by, "desk.not_testing", course=Word(f"course.{turn.state.course}"))
    if not words:
        return _tell(turn, by, "desk.needs_reason", verb="sign")
    turn.conclude(Cleared(at=turn.at, by=by, note=" ".join(words)))
    course.advance(turn, "cleared")
    turn.reply("cleared.athlete", who=by)
    return _tell(turn, by, "desk.cleared")


def _close(turn: Turn, by: str, words: list[str]) -> None:
    turn.conclude(Closed(at=turn.at, by=by, note=" ".join(words)))
    course.advance(turn, "closed")
    turn.reply("closed.athlete", who=by)
    _tell(turn, by, "desk.closed")


ACTS: dict[str, Act] = {
    "approve": _approve,
    "acknowledge": _acknowledge,
    "ack": _acknowledge,
    "hold": _hold,
    "release": _release,
    "limit": _limit,
    "open": _open,
    "waive": _waive,
    "families": _families,
    "signed": lambda turn, by, words: _mode(turn, by, signed=True),
    "automatic": lambda turn, by, words: _mode(turn, by, signed=False),
    "confirm": _confirm,
    "refuse": _refuse,
    "note": _note,
    "sign": _clear,
    "close": _close,
}
"""Every act by its word."""
