"""The facts of what people measured: tests, top speed, kind of injury, weights, minutes in play; never changed."""

from datetime import date
from typing import Literal

from .fact import Fact

Side = Literal["injured", "sound", "none"]
SpeedMethod = Literal["flying", "splits", "device", "told"]
InjuryKind = Literal["sprint", "stretch"]


class Measured(Fact):
    """A clinician measured one test on one side, in the unit of the test; `day` is when it was done."""

    kind: Literal["measured"] = "measured"
    by: str
    test: str
    side: Side
    value: float
    unit: str
    method: str
    day: date


class SpeedMeasured(Fact):
    """A top speed from before the injury, m/s, with its 95 % range; `tau` in s when splits gave it."""

    kind: Literal["speed-measured"] = "speed-measured"
    by: str
    value: float
    low: float
    high: float
    method: SpeedMethod
    words: str
    day: date
    tau: float | None = None


class Classified(Fact):
    """A clinician named the kind of injury, whether a tendon is involved, and the published group it compares with."""

    kind: Literal["classified"] = "classified"
    by: str
    injury: InjuryKind | None
    tendon: bool
    group: str
    note: str


class CriterionWaived(Fact):
    """A clinician waived a criterion of the return to sport, with a reason; it is stored under its first name."""

    kind: Literal["gate-waived"] = "gate-waived"
    by: str
    gate: str
    note: str


class Equipped(Fact):
    """Which weights in kg the athlete has, lightest first."""

    kind: Literal["equipped"] = "equipped"
    by: str
    kilograms: tuple[float, ...]


class Played(Fact):
    """Minutes in play on a match day, told by the athlete; `quiet` says whether the morning after agreed."""

    kind: Literal["played"] = "played"
    day: date
    minutes: float
    quiet: bool


Finding = Measured | SpeedMeasured | Classified | CriterionWaived | Equipped | Played
