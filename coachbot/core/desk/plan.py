"""Acts that change the programme of one athlete: approval, limits, families, days, openings, levels."""

from collections.abc import Iterator
from typing import Literal

from coachbot.core.book import Ladder
from coachbot.core.effects import Word
from coachbot.core.events import Approved, Chose, Limited, Opened, Reason, Refused, Scheduled, Stepped, Waived
from coachbot.core.rules import course, running, weight
from coachbot.core.rules.injury import careful, tendon
from coachbot.core.rules.ladder import equipped, tally
from coachbot.core.rules.today import replan
from coachbot.core.state import RUN
from coachbot.core.turn import Turn

from . import reviews
from .grammar import Table, table
from .say import Bid, tell as _tell


def approve(turn: Turn, bid: Bid) -> None:
    """Approve the programme: the families named, or those that the equipment suggests."""
    if turn.state.course != "screened":
        return _tell(turn, bid.by, "desk.not_screened", course=Word(f"course.{turn.state.course}"))
    named, rest = bid.rest.take_all(_table(turn, bid, "families"))
    modes, _ = rest.take_all(_table(turn, bid, "modes"))
    families = named or _suggested(turn)
    signed = "signed" in modes or (careful(turn.state) and "automatic" not in modes)
    turn.conclude(Approved(at=turn.at, by=bid.by, families=families, signed=signed))
    course.advance(turn, "approved")
    reviews.first(turn)
    turn.reply("approved.athlete", who=bid.by)
    if careful(turn.state):
        turn.reply("expect.tendon" if tendon(turn.state) else "expect.stretch")
    mode = Word("desk.mode.signed" if turn.state.signed else "desk.mode.automatic")
    words = tuple(Word(f"family.{f}") for f in families)
    return _tell(turn, bid.by, "desk.approved", families=words, mode=mode)


def _reply(turn: Turn, key: str, **values: object) -> None:
    """Tell the athlete what was changed; while training is stopped also that it counts only later."""
    turn.reply(key, **values)
    if turn.state.hold:
        turn.reply("changed.on_hold")


def _table(turn: Turn, bid: Bid, name: str) -> Table:
    return table(turn.book, bid.language, name)


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


def limit(turn: Turn, bid: Bid) -> None:
    """Set a number of the programme for this athlete, inside its range; without any, show the limits in force."""
    if not bid.rest.pieces:
        return turn.say(bid.by, *_limits(turn, bid))
    value, rest = bid.rest.number()
    key, rest = rest.take(_table(turn, bid, "numbers"))
    if value is None:
        value, rest = rest.number()
    if key is None or value is None:
        return _tell(turn, bid.by, "desk.limit_how")
    return _limit(turn, bid, key, value, rest.note)


def _limits(turn: Turn, bid: Bid) -> Iterator[Word]:
    """What is in force: the numbers that clinicians set by name, and all that were set for this athlete."""
    yield Word("desk.limits", {"name": turn.state.name})
    named = turn.book.texts[bid.language].acts["numbers"]
    for key in dict.fromkeys((*named, *turn.state.limits)):
        number = turn.book.numbers[key]
        values = {"key": key, "value": turn.value(number), "unit": number.unit, "usual": number.value}
        yield Word("desk.limit_set" if key in turn.state.limits else "desk.limit_usual", values)


def pain_free(turn: Turn, bid: Bid) -> None:
    """Train without any pain: the same rule with the limit at its lowest."""
    number = turn.book.programme.pain.limit
    _limit(turn, bid, number.key, number.range[0], bid.rest.note)


def _limit(turn: Turn, bid: Bid, key: str, value: float, note: str) -> None:
    number = turn.book.numbers[key]
    low, high = number.range
    if not number.allows(value):
        return _tell(turn, bid.by, "desk.out_of_range", key=key, value=value, low=low, high=high)
    before = turn.value(number)
    turn.conclude(Limited(at=turn.at, by=bid.by, number=key, value=value, note=note))
    _reply(turn, "limited.athlete", who=bid.by)
    return _tell(turn, bid.by, "desk.limited", key=key, value=value, unit=number.unit, before=before)


def families(turn: Turn, bid: Bid) -> None:
    """The families named take the place of the others in their groups; what was not named stays."""
    named, _ = bid.rest.take_all(_table(turn, bid, "families"))
    if not named:
        return _tell(turn, bid.by, "desk.families_how", families=tuple(turn.book.ladders))
    groups = {turn.book.ladders[f].group for f in named if turn.book.ladders[f].climbs}
    kept = tuple(f for f in turn.state.families if turn.book.ladders[f].group not in groups and f not in named)
    turn.conclude(Chose(at=turn.at, by=bid.by, families=(*named, *kept), note=bid.rest.note))
    words = tuple(Word(f"family.{f}") for f in turn.state.families)
    return _tell(turn, bid.by, "desk.families", families=words)


def days(turn: Turn, bid: Bid) -> None:
    """Set the weekdays on which the athlete trains."""
    named, rest = bid.rest.take_all(_table(turn, bid, "days"))
    if not named:
        return _tell(turn, bid.by, "desk.days_how")
    slot = "days"
    turn.conclude(Scheduled(at=turn.at, by=bid.by, days=named, note=rest.note))
    replan(turn)
    words = tuple(Word(f"choice.{slot}.{day}") for day in named)
    _reply(turn, "days.athlete", who=bid.by, days=words)
    return _tell(turn, bid.by, "desk.days", days=words)


def open_fast(turn: Turn, bid: Bid) -> None:
    """Open fast running: the coach offers it from now on when its turn has come."""
    _open(turn, bid, "fast")
    running.opened(turn)
    course.advance(turn, "morning")


def open_early(turn: Turn, bid: Bid) -> None:
    """Open running in the first days after the injury."""
    _open(turn, bid, "early-run")


def _open(turn: Turn, bid: Bid, what: Literal["fast", "early-run"]) -> None:
    turn.conclude(Opened(at=turn.at, by=bid.by, what=what, note=bid.rest.note))
    _reply(turn, f"opened.{what}", who=bid.by)
    _tell(turn, bid.by, "desk.opened", what=Word(f"opens.{what}"))


def waive(turn: Turn, bid: Bid) -> None:
    """Put a ladder or the run at a level that was not earned, with a reason."""
    item, rest = bid.rest.take(_table(turn, bid, "items"))
    to, rest = rest.number()
    if item is None or to not in _places(turn, item):
        return _tell(turn, bid.by, "desk.waive_how", items=(*turn.state.ladders, RUN))
    if not rest.note:
        return _tell(turn, bid.by, "desk.needs_reason", verb="waive")
    _by_hand(turn, bid, item, to, Reason(rule="waived", saw={"by": bid.by, "note": rest.note}))
    return _tell(turn, bid.by, "desk.waived", item=item, to=to, note=rest.note)


def up(turn: Turn, bid: Bid) -> None:
    """One level or speed up by the clinician's word, which waives what was not earned yet."""
    _one(turn, bid, +1)


def down(turn: Turn, bid: Bid) -> None:
    """One level or speed down."""
    _one(turn, bid, -1)


def _one(turn: Turn, bid: Bid, way: int) -> None:
    begun = (*turn.state.ladders, *((RUN,) if turn.state.run else ()))
    item, rest = bid.rest.take({i: p for i, p in _table(turn, bid, "items").items() if i in begun})
    if item is None and len(begun) == 1:
        item = begun[0]
    if item is None:
        return _tell(turn, bid.by, "desk.step_how", items=begun or "–")
    to = _beside(turn, item, way)
    if to is None:
        return _tell(turn, bid.by, "desk.step_end", item=item)
    note = rest.note or "–"
    _by_hand(turn, bid, item, to, Reason(rule="stepped.by_hand", saw={"by": bid.by, "note": note}))
    return _tell(turn, bid.by, "desk.stepped", item=item, to=to)


def _beside(turn: Turn, item: str, way: int) -> float | None:
    """The level or speed next to where the athlete stands."""
    rung = turn.state.rung(item)
    places = _places(turn, item)
    assert rung is not None, "only what was begun is stepped"
    beyond = [place for place in places if (place > rung.level if way > 0 else place < rung.level)]
    return (min(beyond) if way > 0 else max(beyond)) if beyond else None


def _by_hand(turn: Turn, bid: Bid, item: str, to: float, reason: Reason) -> None:
    rung = turn.state.rung(item)
    if rung is None or to > rung.level:
        turn.conclude(Waived(at=turn.at, by=bid.by, item=item, to=to, note=str(reason.saw["note"])))
    turn.conclude(Stepped(at=turn.at, item=item, to=to, by=bid.by, reason=reason))
    _reply(turn, "waived.athlete", who=bid.by)


def _places(turn: Turn, item: str) -> list[float]:
    if item == RUN:
        return running.every_speed(turn)
    ladder: Ladder | None = turn.book.ladders.get(item)
    return [float(n) for n in range(1, ladder.top + 1)] if ladder else []


def signed(turn: Turn, bid: Bid) -> None:
    """From now on each rise waits for a clinician."""
    turn.conclude(Chose(at=turn.at, by=bid.by, signed=True, note=bid.rest.note))
    _tell(turn, bid.by, "desk.mode", mode=Word("desk.mode.signed"))


def automatic(turn: Turn, bid: Bid) -> None:
    """From now on the coach makes rises inside what was opened."""
    turn.conclude(Chose(at=turn.at, by=bid.by, signed=False, note=bid.rest.note))
    _tell(turn, bid.by, "desk.mode", mode=Word("desk.mode.automatic"))


def confirm(turn: Turn, bid: Bid) -> None:
    """Agree to the proposed rises: those named, or all."""
    waiting, _ = _proposed(turn, bid)
    heavier = _heavier(turn, bid)
    if not waiting and not heavier:
        return _tell(turn, bid.by, "desk.nothing_proposed")
    heavy = [f"{family} -> {weight.confirmed(turn, family, bid.by):g} kg" for family in heavier]
    for item, to in waiting:
        reason = Reason(rule="rise.confirmed", saw={"by": bid.by})
        turn.conclude(Stepped(at=turn.at, item=item, to=to, by=bid.by, reason=reason))
    _reply(turn, "confirmed.athlete", who=bid.by)
    return _tell(turn, bid.by, "desk.confirmed", items=(*(f"{item} -> {to:g}" for item, to in waiting), *heavy))


def refuse(turn: Turn, bid: Bid) -> None:
    """Refuse the proposed rises: those named, or all. The level stays."""
    waiting, note = _proposed(turn, bid)
    items = tuple(dict.fromkeys([*(item for item, _ in waiting), *_heavier(turn, bid)]))
    if not items:
        return _tell(turn, bid.by, "desk.nothing_proposed")
    for item in items:
        turn.conclude(Refused(at=turn.at, by=bid.by, item=item, note=note))
        rung, reason = turn.state.rung(item), Reason(rule="rise.refused", saw={"by": bid.by})
        assert rung is not None, "only a ladder that was stepped onto can rise"
        tally(turn, item, rung, 0, reason)
    return _tell(turn, bid.by, "desk.refused", items=items)


def _heavier(turn: Turn, bid: Bid) -> list[str]:
    """The families whose heavier weight waits for a word: those named, or all."""
    named, _ = bid.rest.take_all(_table(turn, bid, "items"))
    waiting = [family for family, rung in turn.state.ladders.items() if rung.proposed_load is not None]
    return [family for family in waiting if family in named or not named]


def _proposed(turn: Turn, bid: Bid) -> tuple[list[tuple[str, float]], str]:
    """The rises that wait for a word, those named or all of them, and the note."""
    rungs = {**turn.state.ladders, **({RUN: turn.state.run} if turn.state.run else {})}
    waiting = {item: rung.proposed for item, rung in rungs.items() if rung.proposed is not None}
    named, rest = bid.rest.take_all(_table(turn, bid, "items"))
    return [(item, to) for item, to in waiting.items() if to and (item in named or not named)], rest.note
