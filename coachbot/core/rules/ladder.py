"""Strength ladders: pass, stay, one level down; a rise waits for the morning and, in signed mode, for a person."""

from coachbot.core.book import Ladder, Level
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Passed, Proposed, Reason, Scalar, Stepped, Tallied, Trained, Work
from coachbot.core.state import RUN, Rung, Session
from coachbot.core.turn import Turn

from . import weight
from .safety import raise_flag, rises_blocked


def reported(turn: Turn, line: Work, result: Trained) -> None:
    """What a report changes at once: pain over the limit steps down, twice in a row tells the clinician."""
    rung = turn.state.ladders.get(line.family)
    if rung is None or result.pain is None:
        return None
    weight.told(turn, line, result)
    limit = turn.value(turn.book.programme.pain.limit)
    reason = Reason(rule="ladder.over_limit", saw={"pain": result.pain, "limit": limit}, number="pain.limit")
    if result.pain <= limit:
        return calm(turn, line.family, reason.saw) if result.done else None
    over = rung.over + 1
    turn.conclude(Tallied(at=turn.at, item=line.family, passes=0, over=over, reason=reason))
    hurt = min(rung.level, line.level)  # lower than the ladder stands where equipment was missing
    turn.conclude(Stepped(at=turn.at, item=line.family, to=max(hurt - 1, 1), fewer=hurt == 1, reason=reason))
    if over >= turn.value(turn.book.programme.strength.over_limit_twice):
        raise_flag(turn, "over-limit-twice", result.words, pain=result.pain, limit=limit)
    return None


def calm(turn: Turn, item: str, saw: dict[str, Scalar]) -> None:
    """Within the limit again: times over it are no longer in a row, and its wait is over."""
    rung = turn.state.rung(item)
    if rung and rung.over:
        reason = Reason(rule="ladder.within_limit", saw=saw, number="pain.limit")
        turn.conclude(Tallied(at=turn.at, item=item, passes=rung.passes, over=0, reason=reason))


def judged(turn: Turn, session: Session) -> None:
    """What a session that counts earns on each ladder."""
    for number, result in session.results.items():
        line = session.lines[number]
        if isinstance(line, Work) and line.family in turn.state.ladders:
            _earn(turn, turn.book.ladders[line.family], line, result)


def _earn(turn: Turn, ladder: Ladder, line: Work, result: Trained) -> None:
    rung = turn.state.ladders[ladder.family]
    good = result.done and result.complete and result.full_range
    limit = turn.value(turn.book.programme.pain.limit)
    if not good or result.pain is None or result.pain > limit or line.level != rung.level:
        return
    saw: dict[str, Scalar] = {"level": float(line.level), "pain": result.pain}
    if rung.fewer or line.sets < turn.value(ladder.level(line.level).sets):
        reason = Reason(rule="ladder.full_sets_again", saw=saw)
        turn.conclude(Stepped(at=turn.at, item=ladder.family, to=rung.level, reason=reason))
        return
    needed = turn.value(turn.book.programme.strength.sessions_per_level)
    number = "strength.sessions_per_level"
    if rung.passes + 1 < needed:
        reason = Reason(rule="ladder.once_more", saw={**saw, "needed": needed}, number=number)
        turn.conclude(Tallied(at=turn.at, item=ladder.family, passes=rung.passes + 1, over=0, reason=reason))
        return
    _pass(turn, ladder, rung, Reason(rule="ladder.passed", saw=saw, number=number))


def _pass(turn: Turn, ladder: Ladder, rung: Rung, reason: Reason) -> None:
    level = int(rung.level)
    exercise = ladder.level(level).exercise
    turn.conclude(Passed(at=turn.at, item=ladder.family, at_level=level, exercise=exercise, reason=reason))
    if level < ladder.top:
        rise(turn, ladder.family, level + 1, reason)
    else:
        weight.earned(turn, ladder)


def tally(turn: Turn, item: str, rung: Rung, passes: int, reason: Reason) -> None:
    """Count good sessions; what pain asked for (the wait, the times in a row) stands until one within the limit."""
    turn.conclude(
        Tallied(at=turn.at, item=item, passes=passes, over=rung.over, not_before=rung.not_before, reason=reason)
    )


def rise(turn: Turn, item: str, to: float, reason: Reason) -> None:
    """Step up, or propose it where rises are signed or an alert is still open."""
    if rises_blocked(turn.state):
        why = Reason(rule="rise.blocked", saw={"to": to})
        rung = turn.state.rung(item)
        assert rung is not None, "only a ladder that was stepped onto can rise"
        tally(turn, item, rung, rung.passes, why)
    elif turn.state.signed:
        turn.conclude(Proposed(at=turn.at, item=item, to=to, reason=reason))
        key = "clinician.proposed_run" if item == RUN else "clinician.proposed_level"
        what = RUN if item == RUN else Word(f"family.{item}")
        turn.say(CLINICIANS, Word(key, {"name": turn.state.name, "what": what, "to": to, "item": item}))
    else:
        turn.conclude(Stepped(at=turn.at, item=item, to=to, reason=reason))


def start_level(turn: Turn, ladder: Ladder) -> int:
    """The first level whose exercise was not passed yet: where an athlete enters a family."""
    for number, level in enumerate(ladder.levels, start=1):
        if level.exercise not in turn.state.passed:
            return number
    return ladder.top


def equipped(turn: Turn, level: Level) -> bool:
    """Whether the athlete has all that the level needs."""
    at_hand = turn.state.intake.get("equipment", ())
    return isinstance(at_hand, tuple) and set(level.needs) <= set(at_hand)
