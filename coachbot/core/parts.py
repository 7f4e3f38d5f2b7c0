"""What the state of one case is made of; values only, they decide nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from .events import (
    Answered,
    Classified,
    CriterionWaived,
    Flagged,
    Intended,
    Line,
    Measured,
    MorningTaken,
    Noted,
    Played,
    Reason,
    Remarked,
    Rostered,
    Scalar,
    SpeedMeasured,
    Trained,
    Verdict,
)  # fmt: skip

RUN = "run"
COURSE = "course"
IDLE = "idle"
BY_HAND = frozenset({"waived", "stepped.by_hand"})
"""Rules of a level that a clinician set: no gap before it and no correction of the athlete moves it."""
MEMORY = 120
"""How many mornings, sessions and reasons a state keeps in view; older ones stay in the journal."""


if TYPE_CHECKING:
    from dataclasses import replace as replace
else:

    def replace(value: Any, **changes: Any) -> Any:
        """A copy with changes; eight times as fast as the one of dataclasses, which asks for every field by name."""
        copy = object.__new__(type(value))
        copy.__dict__.update(value.__dict__, **changes)
        return copy


@dataclass(frozen=True)
class Talk:
    """Where the conversation stands: the topic, the slots told so far, and the topic an interlude returns to."""

    topic: str = IDLE
    tries: int = 0
    part: str = ""
    told: frozenset[str] = frozenset()
    quote: str = ""
    pending: str = ""
    asked_at: datetime | None = None
    under: "Talk | None" = None

    @property
    def dialog(self) -> str:
        """The dialog the topic belongs to."""
        return self.topic.split(".")[0]

    @property
    def question(self) -> str:
        """The name of the question within its dialog."""
        return self.topic.split(".")[-1]


@dataclass(frozen=True)
class Hold:
    """A hold laid over the course: since when, by whom and why."""

    since: datetime
    by: str
    reason: Reason


@dataclass(frozen=True)
class OpenAlert:
    """One alert and how far it got: `tried` are the people of this round, `tries` the sendings to the last of them."""

    alert: str
    flag: str
    tier: str
    words: str
    raised_at: datetime
    sent_at: datetime
    to: str
    attempt: int
    round: int = 1
    tries: int = 1
    tried: tuple[str, ...] = ()
    taken_by: str | None = None
    athlete_told: bool = False
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class Session:
    """One issued session, what came back of it, and the next morning's verdict."""

    number: int
    day: date
    issued_at: datetime
    lines: tuple[Line, ...]
    reasons: tuple[Reason, ...] = ()
    results: Mapping[int, Trained] = field(default_factory=dict)
    done_at: datetime | None = None
    skipped: bool = False
    refused: bool = False
    sudden: bool = False
    effort: float | None = None
    minutes: float | None = None
    verdict: Verdict | None = None

    @property
    def open(self) -> bool:
        """Whether a report is still expected."""
        return any(line.reported for line in self.lines) and not self.over

    @property
    def over(self) -> bool:
        """Whether it was done, broken off or skipped."""
        return self.done_at is not None or self.skipped

    @property
    def left(self) -> int | None:
        """The number of the first line without a report, None when all are told."""
        told = (n for n, line in enumerate(self.lines) if line.reported and n not in self.results)
        return next(told, None)

    @property
    def awaits_morning(self) -> bool:
        """Whether the next morning still has to say if it counts."""
        return self.done_at is not None and self.verdict is None


@dataclass(frozen=True)
class Rung:
    """Where one ladder (or the run) stands and the last reason given for it.

    `passes` and `over` count sessions in a row at this level; `load` is the weight in kg and `extra` the repetitions
    added to the dose, both on a loaded level.
    """

    level: float
    fewer: bool = False
    passes: int = 0
    over: int = 0
    load: float | None = None
    extra: int = 0
    proposed_load: float | None = None
    since: datetime | None = None
    last_done: datetime | None = None
    not_before: datetime | None = None
    proposed: float | None = None
    why: Reason | None = None


@dataclass(frozen=True)
class Standing:
    """What the last answer group may have moved, as it stood before: taken back when the answer is corrected."""

    course: str
    ladders: Mapping[str, Rung]
    run: Rung | None
    passed: frozenset[str]
    passed_run: frozenset[float]
    topped: tuple[date, ...]
    verdicts: Mapping[int, Verdict | None]


@dataclass(frozen=True)
class Cause:
    """A reason with its instant and the ladder family, or ``run``, that it is about ("": none)."""

    at: datetime
    reason: Reason
    about: str = ""


@dataclass(frozen=True)
class Move:
    """One change of a level, of the running speed, or of the course, as the digest tells it."""

    at: datetime
    item: str
    came_from: float | str | None
    to: float | str
    by: str
    reason: Reason


@dataclass(frozen=True)
class Taken:
    """A clinician's act, and the case as it stood before: what "undo" goes back to."""

    by: str
    line: str
    before: "State"


@dataclass(frozen=True)
class State:
    """All the coach knows of one case. Made by `apply` alone."""

    case: str = ""
    athlete: str = ""
    name: str = ""
    clinicians: tuple[str, ...] = ()
    zone: str = "UTC"
    language: str = "en"
    course: str = "enrolled"
    course_since: datetime | None = None
    hold: Hold | None = None
    waiting: tuple[str, ...] = ()
    passed_on_at: datetime | None = None
    shelved: str = ""
    approved_by: str | None = None
    signed: bool = False
    families: tuple[str, ...] = ()
    limits: Mapping[str, float] = field(default_factory=dict)
    opened: frozenset[str] = frozenset()
    cleared_by: str | None = None
    cleared_at: datetime | None = None
    talk: Talk = Talk()
    intake: Mapping[str, Scalar | tuple[str, ...]] = field(default_factory=dict)
    answers: Mapping[str, Answered] = field(default_factory=dict)
    last_answer: Answered | None = None
    prompts: Mapping[str, date] = field(default_factory=dict)
    mornings: tuple[MorningTaken, ...] = ()
    sessions: tuple[Session, ...] = ()
    day_over: tuple[date, Reason] | None = None
    announced: Mapping[date, str] = field(default_factory=dict)
    ladders: Mapping[str, Rung] = field(default_factory=dict)
    run: Rung | None = None
    passed: frozenset[str] = frozenset()
    passed_run: frozenset[float] = frozenset()
    waived: frozenset[tuple[str, float]] = frozenset()
    topped: tuple[date, ...] = ()
    flagged: tuple[Flagged, ...] = ()
    alerts: Mapping[str, OpenAlert] = field(default_factory=dict)
    reasons: tuple[Cause, ...] = ()
    before: Standing | None = None
    measured: tuple[Measured, ...] = ()
    top_speed: SpeedMeasured | None = None
    classified: Classified | None = None
    criteria_waived: Mapping[str, CriterionWaived] = field(default_factory=dict)
    kilograms: tuple[float, ...] = ()
    played: tuple[Played, ...] = ()
    shares: bool = False
    review: date | None = None
    review_note: str = ""
    reviewed_at: datetime | None = None
    duties: Mapping[str, Rostered] = field(default_factory=dict)
    notes: tuple[Noted, ...] = ()
    remarks: tuple[Remarked, ...] = ()
    moves: tuple[Move, ...] = ()
    intended: Mapping[str, Intended] = field(default_factory=dict)
    acting: Taken | None = None
    undo: Taken | None = None
    heard_at: datetime | None = None
    said: tuple[str, ...] = ()
    ticked_at: datetime | None = None

    @property
    def session(self) -> Session | None:
        """The last issued session."""
        return self.sessions[-1] if self.sessions else None

    @property
    def morning(self) -> MorningTaken | None:
        """The last complete morning check-in."""
        return next((morning for morning in reversed(self.mornings) if not morning.partial), None)

    def rung(self, item: str) -> Rung | None:
        """Where a ladder family, or ``run``, stands."""
        return self.run if item == RUN else self.ladders.get(item)
