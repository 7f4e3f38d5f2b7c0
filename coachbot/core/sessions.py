"""The facts of training: what was planned and issued, what came back of it, and what it earned; never changed."""

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import Field

from .book import Frozen
from .fact import Fact, Reason, Verdict


class Work(Frozen):
    """One strength or mobility line of a session; a mobility line wants no report."""

    kind: Literal["work"] = "work"
    family: str
    level: int
    exercise: str
    sets: int
    reps_low: int
    reps_high: int
    each_side: bool
    load: float | None = None
    reported: bool = True
    reason: Reason


class Target(Frozen):
    """What one run-through should be: top speed used and speed in m/s, cones in m from the start, the effort of the
    build-up as a share of all-out, and for a zone held at full pace its time in s with the range its clock leaves."""

    top: float
    speed: float
    cones: tuple[float, ...]
    effort: float
    hard: bool
    clock: Literal["stopwatch", "video"] | None = None
    seconds: float | None = None
    low: float | None = None
    high: float | None = None


class Run(Frozen):
    """The running line of a session: speeds are % of own top speed, zones in metres.

    `target` is the profile in numbers, for an athlete with a measured top speed.
    """

    kind: Literal["run"] = "run"
    stage: int
    percent: float
    up_to: float
    repetitions: int
    zones: tuple[float, float, float]
    target: Target | None = None
    reported: bool = True
    reason: Reason


Line = Annotated[Work | Run, Field(discriminator="kind")]


class Planned(Fact):
    """The coming week as it was announced: each local day with ``rest``, ``strength``, ``run`` or ``both``."""

    kind: Literal["planned"] = "planned"
    days: tuple[tuple[date, str], ...]


class Prescribed(Fact):
    """Today's session (run before strength), or rest when `lines` is empty.

    `number` counts the sessions of the case; the same number again replaces a session not yet reported.
    """

    kind: Literal["prescribed"] = "prescribed"
    number: int
    day: date
    lines: tuple[Line, ...]
    reasons: tuple[Reason, ...]
    handbook: str


class Trained(Fact):
    """What the athlete did of one line of a session. `done` is false when the line was skipped.

    What nobody told is None, or empty for `repetitions`: of a run that was left out, of a line that was half told.
    `weight` in kg was told with it; `seconds` is a time told for the fast zone, `top` then what it really was, in %.
    `fast_metres` counts the metres above the programme's share of own top speed.
    """

    kind: Literal["trained"] = "trained"
    session: int
    line: int
    done: bool
    complete: bool
    full_range: bool | None
    pain: float | None
    masked: bool = False
    repetitions: tuple[int, ...] = ()
    top: float | None = None
    weight: float | None = None
    seconds: float | None = None
    fast_metres: float = 0.0
    words: str


class SessionDone(Fact):
    """The report of a session is complete: effort 0-10 and minutes, when given; something sudden or not."""

    kind: Literal["session-done"] = "session-done"
    session: int
    effort: float | None
    minutes: float | None
    sudden: bool


class SessionSkipped(Fact):
    """A session was not done: the athlete said so, or its day passed without a report."""

    kind: Literal["session-skipped"] = "session-skipped"
    session: int
    said: bool


class DayOver(Fact):
    """No more training on this local day: pain over the limit, or the athlete said so. `over` False takes it back."""

    kind: Literal["day-over"] = "day-over"
    day: date
    over: bool = True
    reason: Reason


class Judged(Fact):
    """The next morning's word on a session: it counts, is repeated, or calls for rest."""

    kind: Literal["judged"] = "judged"
    session: int
    verdict: Verdict
    reason: Reason


class Passed(Fact):
    """A ladder level or a speed was passed; `item` is the family or ``run``, `at_level` the level or the speed."""

    kind: Literal["passed"] = "passed"
    item: str
    at_level: float
    exercise: str
    reason: Reason


class Tallied(Fact):
    """A counted session at a level that needs more than one, or pain over the limit in a row: the new counts."""

    kind: Literal["tallied"] = "tallied"
    item: str
    passes: int
    over: int
    not_before: datetime | None = None
    reason: Reason


class Proposed(Fact):
    """A rise that waits for a clinician's word (*signed* mode): to a level or speed, or to a weight in kg."""

    kind: Literal["proposed"] = "proposed"
    item: str
    to: float
    weight: bool = False
    reason: Reason


class Stepped(Fact):
    """A level or running speed changed. `fewer` marks a dose with fewer sets; `by` is ``coach`` or the clinician."""

    kind: Literal["stepped"] = "stepped"
    item: str
    to: float
    fewer: bool = False
    by: str = "coach"
    reason: Reason


class Loaded(Fact):
    """The weight on a loaded level, in kilograms, and the repetitions added to its dose, as they are now."""

    kind: Literal["loaded"] = "loaded"
    family: str
    kilograms: float
    repetitions: int = 0
    reason: Reason


class Topped(Fact):
    """Full speed was reached without pain on this local day, and the next morning agreed."""

    kind: Literal["topped"] = "topped"
    day: date
