"""The criteria of the return to sport, each with its numbers and age; it counts what is met and never says more.

The last criterion is a clinician's signature. Nothing here tells anybody that an athlete may return.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from coachbot.core.days import days_between
from coachbot.core.effects import Word
from coachbot.core.events import Measured
from coachbot.core.sums.readiness import Sides, sides
from coachbot.core.turn import Turn

Standing = Literal["met", "not-met", "old", "missing", "waived"]
PERCENT = 100
PAIN_CRITERIA = ("palpation", "strength-pain", "flexibility-pain")
RANGES = ("knee-extension", "leg-raise")
SIGNATURE = "signature"
NOISE = {
    "knee-extension": ("measurement.knee_extension_same_tester", "measurement.knee_extension_two_testers"),
    "leg-raise": ("measurement.leg_raise_same_tester", None),
}
"""The error of a test between two measurements of one tester, and of two testers (None: nobody has published it)."""


@dataclass(frozen=True)
class Criterion:
    """One criterion: where it stands, and the numbers that say so."""

    name: str
    standing: Standing
    numbers: tuple[Word, ...] = ()

    @property
    def met(self) -> bool:
        """Whether it counts: met, or waived by a clinician with a reason."""
        return self.standing in ("met", "waived")


def criteria(turn: Turn) -> tuple[Criterion, ...]:
    """All criteria in order, the signature last."""
    return tuple(_waived(turn, Criterion(name, *look(turn))) for name, look in CRITERIA.items())


def missing(turn: Turn) -> tuple[Criterion, ...]:
    """The criteria that are not met yet."""
    return tuple(criterion for criterion in criteria(turn) if not criterion.met)


def latest(turn: Turn, test: str, side: str = "none") -> Measured | None:
    """The last measurement of a test on one side."""
    found = [m for m in turn.state.measured if m.test == test and m.side == side]
    return sorted(found, key=lambda m: m.day)[-1] if found else None


def compared(turn: Turn, test: str) -> Sides | None:
    """Both sides of a test by the limb symmetry index, with what its error hides; None until both are measured."""
    injured, sound = latest(turn, test, "injured"), latest(turn, test, "sound")
    if injured is None or sound is None:
        return None
    least = turn.number("measurement.strength_least" if test == "strength" else "measurement.range_least")
    return sides(injured.value, sound.value, least, _noise(turn, test, injured, sound))


def _noise(turn: Turn, test: str, one: Measured, other: Measured) -> float | None:
    """The smallest difference that is more than the error of the test, in its unit."""
    if test == "strength":
        key = "measurement.strength_same_tester" if one.by == other.by else "measurement.strength_two_testers"
        return turn.number(key) / PERCENT * max(one.value, other.value)
    key_of = NOISE[test][0 if one.by == other.by else 1]
    return turn.number(key_of) if key_of else None


def side_words(turn: Turn, test: str) -> tuple[Word, ...]:
    """Both sides of a test in words: values, index with its definition, whether the difference is noise."""
    injured, sound, found = latest(turn, test, "injured"), latest(turn, test, "sound"), compared(turn, test)
    if injured is None or sound is None or found is None:
        return (Word("criterion.no_sides", {"test": Word(f"test.{test}")}),)
    noise = {True: "criterion.noise", False: "criterion.no_noise", None: "criterion.noise_unknown"}[found.noise]
    values = {"test": Word(f"test.{test}"), "injured": injured.value, "sound": sound.value, "unit": injured.unit}
    who = {"day": injured.day, "by": injured.by, "method": injured.method or "–"}
    return (Word("criterion.sides", {**values, **who, "percent": round(found.percent), "noise": Word(noise)}),)


Look = Callable[[Turn], tuple[Standing, tuple[Word, ...]]]


def _old(turn: Turn, *measured: Measured) -> bool:
    most = turn.number("measurement.measured_within")
    return any(days_between(m.day, turn.today) > most for m in measured)


def _pain(test: str) -> Look:
    def look(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
        found = latest(turn, test)
        if found is None:
            return "missing", ()
        said = (Word("criterion.pain", {"score": found.value, "day": found.day, "by": found.by}),)
        return _judged(turn, found.value <= turn.number("readiness.pain"), found), said

    return look


def _judged(turn: Turn, good: bool, *measured: Measured) -> Standing:
    if not good:
        return "not-met"
    return "old" if _old(turn, *measured) else "met"


def _range(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
    said = tuple(word for test in RANGES for word in side_words(turn, test))
    pairs = [compared(turn, test) for test in RANGES]
    if not all(pairs):
        return "missing", said
    used = [m for test in RANGES for side in ("injured", "sound") if (m := latest(turn, test, side))]
    return _judged(turn, all(pair.reached for pair in pairs if pair), *used), said


def _full_effort(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
    """Full speed without pain on enough days, and sport tests at full effort without pain on as many."""
    wanted = int(turn.number("readiness.sprint_days"))
    tests = [m for m in turn.state.measured if m.test == "sport-test"]
    quiet = {m.day for m in tests if m.value <= turn.number("readiness.pain")}
    last = latest(turn, "sport-test")
    sprints = len(set(turn.state.topped))
    said = (Word("criterion.full_effort", {"sprints": sprints, "tests": len(quiet), "wanted": wanted}),)
    if last is None or not sprints:
        return "missing", said
    enough = sprints >= wanted and len(quiet) >= wanted and last.day in quiet
    return _judged(turn, enough, last), said


def _confidence(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
    found, least = latest(turn, "confidence"), turn.number("measurement.readiness_soft_criterion")
    if found is None:
        return "missing", ()
    said = (Word("criterion.confidence_score", {"sum": found.value, "least": least, "day": found.day, "by": found.by}),)
    return _judged(turn, found.value >= least, found), said


def _team(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
    found, wanted = latest(turn, "team-session"), turn.number("readiness.team_sessions")
    if found is None:
        return "missing", ()
    said = (Word("criterion.team", {"count": found.value, "wanted": wanted, "day": found.day, "by": found.by}),)
    return ("met" if found.value >= wanted else "not-met"), said


def _signature(turn: Turn) -> tuple[Standing, tuple[Word, ...]]:
    who = turn.state.cleared_by
    return ("met", (Word("criterion.signed", {"by": who}),)) if who else ("missing", ())


CRITERIA: dict[str, Look] = {
    **{name: _pain(name) for name in PAIN_CRITERIA},
    "range": _range,
    "full-effort": _full_effort,
    "confidence": _confidence,
    "team-session": _team,
    SIGNATURE: _signature,
}


def _waived(turn: Turn, criterion: Criterion) -> Criterion:
    waiver = turn.state.criteria_waived.get(criterion.name)
    if waiver is None or criterion.met or criterion.name == SIGNATURE:
        return criterion
    reason = Word("criterion.waived", {"by": waiver.by, "note": waiver.note})
    return Criterion(criterion.name, "waived", (*criterion.numbers, reason))
