"""The lines of a session: which exercise at which level, and which run; each with its reason."""

from dataclasses import dataclass
from math import ceil

from coachbot.core.book import Ladder, Level
from coachbot.core.days import days_between, local_day
from coachbot.core.effects import CLINICIANS, Word
from coachbot.core.events import Reason, Run, Scalar, Stepped, Work
from coachbot.core.parts import BY_HAND, RUN, Rung
from coachbot.core.turn import Turn

from .afterwards import allowed
from .ladder import equipped, start_level
from .running import WAITS, every_speed, farthest, open_speed, stage_of
from .speed import fast_metres, target, top_speed, zones


@dataclass(frozen=True)
class Pick:
    """A family with the level it is trained at today, and why this one."""

    ladder: Ladder
    number: int
    reason: Reason

    @property
    def level(self) -> Level:
        """The level itself."""
        return self.ladder.level(self.number)


def strength(turn: Turn, *, optional: bool) -> tuple[Work, ...]:
    """One line for every group the clinician approved: the required ones, the others where there is time."""
    for family in turn.state.ladders:
        _after_gap(turn, turn.book.ladders[family])
    lines = []
    for group, families in _groups(turn).items():
        required = any(turn.book.ladders[f].required for f in families)
        if required or optional:
            pick = _pick(turn, group, families)
            if pick:
                lines.append(_work(turn, pick))
            elif required and not any(isinstance(each, Work) for s in turn.state.sessions for each in s.lines):
                values = {"name": turn.state.name, "family": Word(f"family.{families[0]}")}
                turn.say(CLINICIANS, Word("clinician.no_equipment", values))
    return tuple(lines)


def mobility(turn: Turn) -> tuple[Work, ...]:
    """The gentle movements by comfort, which want no report."""
    picks = (turn.book.ladders[f] for f in turn.state.families if not turn.book.ladders[f].climbs)
    return tuple(_work(turn, Pick(each, 1, _gentle(each))) for each in picks)


def _gentle(ladder: Ladder) -> Reason:
    return Reason(rule="line.mobility", number=f"ladders.{ladder.family}")


def run(turn: Turn) -> Run:
    """Today's run at the speed that was earned."""
    if turn.state.run is None:
        first = every_speed(turn)[0]
        reason = Reason(rule="run.start", saw={"speed": first}, number="stages.1.first")
        turn.conclude(Stepped(at=turn.at, item=RUN, to=first, reason=reason))
    rung = turn.state.run
    assert rung is not None, "the run was stepped onto just now"
    speed = open_speed(turn, rung.level)
    stage = stage_of(turn, speed)
    top = top_speed(turn)
    lengths = zones(turn, stage, speed, top)
    waits = Reason(rule=WAITS, number="running.fast_above")
    line = Run(
        stage=stage.number,
        percent=speed,
        up_to=farthest(turn, speed),
        repetitions=int(turn.value(turn.book.programme.running.repetitions)),
        zones=lengths,
        target=target(turn, stage, speed, lengths, top) if top else None,
        reason=_stands(turn, RUN, rung) if speed == rung.level else waits,
    )
    return allowed(turn, line, fast_metres(turn, line, 1, speed))


def _groups(turn: Turn) -> dict[str, list[str]]:
    """The approved families by group, the required groups first and then by priority."""
    ladders = sorted(
        (turn.book.ladders[f] for f in turn.state.families), key=lambda each: (not each.required, each.priority)
    )
    groups: dict[str, list[str]] = {}
    for ladder in ladders:
        if ladder.climbs:
            groups.setdefault(ladder.group, []).append(ladder.family)
    return groups


def _pick(turn: Turn, group: str, families: list[str]) -> Pick | None:
    """The first family whose level the athlete has the equipment for: approved ones, then any of the group."""
    others = [f for f, each in turn.book.ladders.items() if each.group == group and f not in families]
    for family in (*families, *others):
        ladder = turn.book.ladders[family]
        number = _stand(turn, ladder)
        if equipped(turn, ladder.level(number)):
            if family == families[0]:
                return Pick(ladder, number, _stands(turn, family, turn.state.ladders.get(family)))
            return Pick(ladder, number, _swapped(turn, families[0], family))
    return _lower(turn, turn.book.ladders[families[0]])


def _stand(turn: Turn, ladder: Ladder) -> int:
    """The level that was earned; nothing new on a morning over the limit, but once more what was passed last."""
    rung = turn.state.ladders.get(ladder.family)
    if rung is None:
        return start_level(turn, ladder)
    return int(rung.level) - 1 if _sore(turn) and rung.why and rung.why.rule == "ladder.passed" else int(rung.level)


def _sore(turn: Turn) -> bool:
    morning = turn.state.morning
    return morning is not None and morning.walking > turn.value(turn.book.programme.pain.limit)


def _swapped(turn: Turn, wanted: str, family: str) -> Reason:
    reason = Reason(rule="line.swapped", saw={"wanted": wanted, "family": family}, number=f"ladders.{family}")
    if family not in turn.state.ladders:
        values = {"name": turn.state.name, "wanted": Word(f"family.{wanted}"), "family": Word(f"family.{family}")}
        turn.say(CLINICIANS, Word("clinician.swapped", values))
    return reason


def _lower(turn: Turn, ladder: Ladder) -> Pick | None:
    """No family of the group can be done as earned: the highest lower level that can."""
    for number in range(_stand(turn, ladder), 0, -1):
        if equipped(turn, ladder.level(number)):
            entry = f"ladders.{ladder.family}"
            lower = Reason(rule="line.lower_for_equipment", saw={"level": float(number)}, number=entry)
            return Pick(ladder, number, lower)
    return None


def _work(turn: Turn, pick: Pick) -> Work:
    ladder = pick.ladder
    if ladder.climbs:
        _enter(turn, ladder)
    rung = turn.state.ladders.get(ladder.family)
    level = pick.level
    sets = turn.value(level.sets)
    fewer = rung is not None and rung.fewer
    share = turn.value(turn.book.programme.strength.fewer_sets) if fewer else 1
    weighed = rung if rung and level.loaded and rung.level == pick.number else None
    extra = weighed.extra if weighed else 0
    return Work(
        family=ladder.family,
        level=pick.number,
        exercise=level.exercise,
        sets=ceil(sets * share),
        reps_low=int(turn.value(level.reps_low)) + extra,
        reps_high=int(turn.value(level.reps_high)) + extra,
        each_side=level.each_side,
        load=weighed.load if weighed else None,
        reported=ladder.climbs,
        reason=pick.reason,
    )


def _enter(turn: Turn, ladder: Ladder) -> None:
    if ladder.family not in turn.state.ladders:
        level = start_level(turn, ladder)
        reason = Reason(rule="ladder.start", saw={"level": float(level)}, number=f"ladders.{ladder.family}")
        turn.conclude(Stepped(at=turn.at, item=ladder.family, to=level, reason=reason))


def _after_gap(turn: Turn, ladder: Ladder) -> None:
    """A long gap takes sets or a level away (Presland 2018: what was gained is lost in two weeks)."""
    rung = turn.state.ladders[ladder.family]
    if rung.last_done is None:
        return
    since = rung.why.rule if rung.why and rung.since and rung.since > rung.last_done else ""
    start = rung.since if since in BY_HAND and rung.since else rung.last_done  # a clinician's own word begins anew
    strength = turn.book.programme.strength
    gap = days_between(local_day(start, turn.state.zone), turn.today)
    saw: dict[str, Scalar] = {"gap": float(gap)}
    if since == "ladder.long_gap":
        return
    if gap > turn.value(strength.level_down_after):
        reason = Reason(rule="ladder.long_gap", saw=saw, number="strength.level_down_after")
        turn.conclude(Stepped(at=turn.at, item=ladder.family, to=max(rung.level - 1, 1), reason=reason))
    elif gap > turn.value(strength.fewer_sets_after) and since != "ladder.gap":
        reason = Reason(rule="ladder.gap", saw=saw, number="strength.fewer_sets_after")
        turn.conclude(Stepped(at=turn.at, item=ladder.family, to=rung.level, fewer=True, reason=reason))


def _stands(turn: Turn, item: str, rung: Rung | None) -> Reason:
    """Why an item stands where it stands: the last conclusion drawn about it."""
    if rung is None:
        return Reason(rule="line.begins")
    if rung.proposed is not None:
        return Reason(rule="rise.proposed", saw={"to": rung.proposed})
    if rung.why and not (rung.why.rule == "ladder.start" and rung.last_done):
        return rung.why
    return Reason(rule="line.stays", saw={"level": rung.level})
