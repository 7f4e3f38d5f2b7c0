"""The kinds of answer and the small frozen results of reading one; nothing here reads text."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from enum import StrEnum


class Kind(StrEnum):
    """What a question asks for; the unit of the value stands behind each kind."""

    PAIN = "pain"  # float 0-10, halves kept
    YES_NO = "yes_no"  # bool
    SETS_REPS = "sets_reps"  # SetsReps
    FULL_RANGE = "full_range"  # bool
    DURATION = "duration"  # seconds
    WEIGHT = "weight"  # Weight
    SPRINT_TIME = "sprint_time"  # seconds
    SPEED = "speed"  # percent of own top speed
    PACE = "pace"  # a speed, or the seconds over the fast zone (a reading of kind sprint_time)
    DATE = "date"  # datetime.date, never after today
    TIME = "time"  # datetime.time, 24 hours
    CHOICE = "choice"  # the key of the choice
    NUMBER = "number"  # float, 0 or more
    TEXT = "text"  # the cleaned words


@dataclass(frozen=True, slots=True)
class SetsReps:
    """Sets and repetitions as told; what was not told stays empty."""

    reps: tuple[int, ...] = ()  # one entry a set
    sets: int | None = None
    planned: int | None = None  # "2 of 3" has planned 3
    each_side: bool = False
    left: int | None = None
    right: int | None = None
    hold: int | None = None  # seconds a set
    weight: float | None = None  # kg
    everything: bool = False  # "all of them"
    nothing: bool = False  # "skipped"

    @property
    def notation(self) -> str:
        """The short form that is echoed: 3x10, 10/10/8, 2of3, L24/R26, 3x30s, 3x10@20, ALL, NONE."""
        if self.everything or self.nothing:
            return "ALL" if self.everything else "NONE"
        if self.left is not None:
            return f"L{self.left}/R{self.right}"
        return self._count() + ("e" if self.each_side else "") + self._load()

    def _count(self) -> str:
        if self.planned is not None:
            return f"{self.sets}of{self.planned}"
        if self.hold is not None:
            return f"{self.sets}x{self.hold}s"
        if not self.reps:
            return f"{self.sets}x"
        if self.sets is not None and len(set(self.reps)) == 1:
            return f"{self.sets}x{self.reps[0]}"
        return "/".join(map(str, self.reps))

    def _load(self) -> str:
        return "" if self.weight is None else f"@{self.weight:g}"


@dataclass(frozen=True, slots=True)
class Weight:
    """A load in kilograms; with `body` it is added to body weight."""

    kg: float
    body: bool = False

    @property
    def notation(self) -> str:
        """20, BW or BW+10."""
        extra = f"{self.kg:g}"
        return ("BW" + (f"+{extra}" if self.kg else "")) if self.body else extra


Value = float | bool | str | date | time | SetsReps | Weight


@dataclass(frozen=True, slots=True)
class Reading:
    """A value and the words it was read from; `low`, `high`, `rise`, `masked` and `parts` belong to pain."""

    kind: Kind
    value: Value
    words: str
    low: float | None = None
    high: float | None = None
    rise: bool = False  # "2 then 5"
    masked: bool = False  # pain killers were mentioned
    part: str | None = None  # "walk", "exercise" or "run"
    parts: tuple[tuple[str, float], ...] = ()  # every labelled score of the line


@dataclass(frozen=True, slots=True)
class Unsure:
    """No value is stored; `why` is the key of a reason the coach can put into words."""

    kind: Kind
    why: str
    words: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """One question of a line: its name, its kind, for a choice the words of each key, for pain the part asked."""

    name: str
    kind: Kind
    choices: Mapping[str, Sequence[str]] | None = field(default=None)
    part: str | None = None
