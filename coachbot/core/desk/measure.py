"""Acts that record what a clinician measured: tests, top speed, kind of injury, weights, waived criteria."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachbot.core.effects import Word
from coachbot.core.events import (
    Chose,
    Classified,
    CriterionWaived,
    Equipped,
    Loaded,
    Measured,
    Reason,
    SpeedMeasured,
)
from coachbot.core.findings import InjuryKind, Side, SpeedMethod
from coachbot.core.rules import readiness
from coachbot.core.rules.injury import careful, group_of
from coachbot.core.rules.topspeed import found
from coachbot.core.sums.readiness import confidence
from coachbot.core.sums.refusal import Refused
from coachbot.core.turn import Turn

from .say import Bid, tell as _tell
from .when import within

BOTH: tuple[Side, ...] = ("injured", "sound")


@dataclass(frozen=True)
class Line:
    """What follows an act, taken apart: words before the numbers, numbers, words after them."""

    name: str
    numbers: tuple[float, ...]
    words: str


def apart(text: str) -> Line:
    """Take a line such as "knee extension 165 172 goniometer" apart."""
    before: list[str] = []
    numbers: list[float] = []
    after: list[str] = []
    for word in text.replace("/", " ").replace(",", " ").split():
        number = _number(word)
        if number is not None and not after:
            numbers.append(number)
        elif number is None and not numbers:
            before.append(word.lower())
        else:
            after.append(word)
    return Line("-".join(before), tuple(numbers), " ".join(after).strip(" .;:-"))


def _dated(turn: Turn, bid: Bid) -> tuple[Line, date]:
    """The line without its day, and the day; without one it is today's."""
    day, text = within(bid.rest, turn.today, turn.book.texts[bid.language])
    return apart(text), day or turn.today


def _number(word: str) -> float | None:
    try:
        return float(word)
    except ValueError:
        return None


def measure(turn: Turn, bid: Bid) -> None:
    """Record a test: one number, or the injured side first and then the other."""
    line, day = _dated(turn, bid)
    number = turn.book.numbers.get(f"tests.{line.name}")
    values = _values(line)
    if number is None or values is None:
        return _tell(turn, bid.by, "desk.measure_how")
    if day > turn.today:
        return _tell(turn, bid.by, "desk.day_ahead", day=day)
    low, high = number.range
    if not all(low <= value <= high for _, value in values):
        return _tell(turn, bid.by, "desk.measure_range", test=Word(f"test.{line.name}"), low=low, high=high)
    for side, value in values:
        turn.conclude(_one(turn, bid.by, line, day, side, value, number.unit))
    shown = tuple(value for _, value in values)
    _tell(turn, bid.by, "desk.measured", test=Word(f"test.{line.name}"), values=shown, unit=number.unit, day=day)
    if line.name in (*readiness.RANGES, "strength"):
        for word in readiness.side_words(turn, line.name):
            turn.say(bid.by, word)
    return None


def _one(turn: Turn, by: str, line: Line, day: date, side: Side, value: float, unit: str) -> Measured:
    return Measured(at=turn.at, by=by, test=line.name, side=side, value=value, unit=unit, method=line.words, day=day)


def _values(line: Line) -> Sequence[tuple[Side, float]] | None:
    """Which sides the numbers belong to; None when there are too few, too many or impossible ones."""
    if line.name in (*readiness.RANGES, "strength"):
        return tuple(zip(BOTH, line.numbers, strict=True)) if len(line.numbers) == len(BOTH) else None
    if line.name == "confidence":
        try:
            return (("none", confidence(line.numbers)),)
        except Refused:
            return None
    return (("none", line.numbers[0]),) if len(line.numbers) == 1 else None


def top_speed(turn: Turn, bid: Bid) -> None:
    """Enter a top speed from before the injury: by a device, over a flying zone, or from split times."""
    line, day = _dated(turn, bid)
    try:
        speed = found(turn, line.name, line.numbers, line.words)
    except Refused as refusal:
        return _tell(turn, bid.by, "desk.speed_refused", why=refusal.code.replace(".", " "))
    if speed is None:
        return _tell(turn, bid.by, "desk.speed_how")
    if day > turn.today:
        return _tell(turn, bid.by, "desk.day_ahead", day=day)
    method: SpeedMethod = speed.top.method
    value, words = speed.top.band, bid.rest.note
    turn.conclude(
        SpeedMeasured(
            at=turn.at,
            by=bid.by,
            value=value.value,
            low=value.low,
            high=value.high,
            method=method,
            words=words,
            day=day,
            tau=speed.tau,
        )
    )
    shown = {name: f"{each:.2f}" for name, each in (("value", value.value), ("low", value.low), ("high", value.high))}
    _tell(turn, bid.by, "desk.speed", method=Word(f"method.{method}"), day=day, **shown)
    if (turn.today - day).days > turn.number("running_maths.top_speed_age"):
        _tell(turn, bid.by, "desk.speed_old")
    return None


def kind(turn: Turn, bid: Bid) -> None:
    """Name the kind of injury, the tendon, or the published group; a careful kind makes every rise signed."""
    words = bid.rest.note.lower().split()
    injury: InjuryKind | None = "stretch" if "stretch" in words else "sprint" if "sprint" in words else None
    group, tendon = group_of(words), "tendon" in words
    if injury is None and not tendon and not group:
        return _tell(turn, bid.by, "desk.kind_how")
    note = bid.rest.note
    turn.conclude(Classified(at=turn.at, by=bid.by, injury=injury, tendon=tendon, group=group, note=note))
    _tell(turn, bid.by, "desk.kind", words=note)
    if careful(turn.state) and turn.state.approved_by and not turn.state.signed:
        turn.conclude(Chose(at=turn.at, by=bid.by, signed=True, note=bid.rest.note))
        _tell(turn, bid.by, "desk.mode", mode=Word("desk.mode.signed"))
    return None


def weights(turn: Turn, bid: Bid) -> None:
    """Say which weights in kg the athlete has."""
    numbers = sorted({n for n in apart(bid.rest.note).numbers if n > 0})
    if not numbers:
        return _tell(turn, bid.by, "desk.weights_how")
    turn.conclude(Equipped(at=turn.at, by=bid.by, kilograms=tuple(numbers)))
    return _tell(turn, bid.by, "desk.weights", kilograms=tuple(numbers))


def weight(turn: Turn, bid: Bid) -> None:
    """Set the weight in kg of a family whose level is a loaded one."""
    line = apart(bid.rest.note)
    rung = turn.state.ladders.get(line.name)
    if rung is None or len(line.numbers) != 1 or line.numbers[0] <= 0:
        return _tell(turn, bid.by, "desk.weight_how", families=tuple(turn.state.ladders) or "–")
    kilograms = line.numbers[0]
    reason = Reason(rule="weight.set", saw={"by": bid.by, "kg": kilograms})
    turn.conclude(Loaded(at=turn.at, family=line.name, kilograms=kilograms, reason=reason))
    return _tell(turn, bid.by, "desk.weight", family=Word(f"family.{line.name}"), kilograms=kilograms)


def waive_criterion(turn: Turn, bid: Bid) -> None:
    """Waive a criterion of the return with a reason; the signature cannot be waived."""
    name, _, note = bid.rest.note.partition(" ")
    if name not in readiness.CRITERIA or name == readiness.SIGNATURE or not note.strip():
        names = tuple(each for each in readiness.CRITERIA if each != readiness.SIGNATURE)
        return _tell(turn, bid.by, "desk.criterion_how", criteria=names)
    turn.conclude(CriterionWaived(at=turn.at, by=bid.by, gate=name, note=note.strip()))
    return _tell(turn, bid.by, "desk.criterion_waived", criterion=Word(f"criterion.{name}"), note=note.strip())
