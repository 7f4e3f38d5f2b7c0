"""The facts of a case, in the past tense: what arrived and what was concluded; they are stored and never changed."""

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from .book import Frozen, TierName
from .deeds import (
    AlertPassed as AlertPassed,
    Approved as Approved,
    Arranged as Arranged,
    Away as Away,
    Chose as Chose,
    Cleared as Cleared,
    Closed as Closed,
    Consented as Consented,
    Focused as Focused,
    HandedOver as HandedOver,
    Intended as Intended,
    Limited as Limited,
    Messaged as Messaged,
    NotCleared as NotCleared,
    Noted as Noted,
    Opened as Opened,
    Refused as Refused,
    Released as Released,
    ReviewPlanned as ReviewPlanned,
    Reviewed as Reviewed,
    RoleName as RoleName,
    Rostered as Rostered,
    Scheduled as Scheduled,
    Sent as Sent,
    Undone as Undone,
    Waived as Waived,
)
from .fact import Fact as Fact
from .fact import Reason as Reason
from .fact import Scalar as Scalar
from .fact import Verdict as Verdict

# ---- arrivals ----------------------------------------------------------------------------------------------------


class Heard(Fact):
    """A message of the athlete. `edits` names the message it replaces, when the channel says so."""

    kind: Literal["heard"] = "heard"
    text: str
    edits: str | None = None


class Acted(Fact):
    """A clinician's line, with their name; what it changed stands in the conclusions after it."""

    kind: Literal["acted"] = "acted"
    by: str
    line: str
    role: RoleName = "clinician"


class Ticked(Fact):
    """The clock reached a moment at which something was due."""

    kind: Literal["ticked"] = "ticked"


# ---- the case and its people -------------------------------------------------------------------------------------


class Enrolled(Fact):
    """A clinician named the athlete. `clinicians` is the order in which alerts go out."""

    kind: Literal["enrolled"] = "enrolled"
    by: str
    athlete: str
    name: str
    clinicians: tuple[str, ...]
    zone: str
    language: str = "en"


class Went(Fact):
    """The case moved along its course."""

    kind: Literal["went"] = "went"
    to: str
    reason: Reason


# ---- safety ------------------------------------------------------------------------------------------------------


class Flagged(Fact):
    """A red flag or watch sign was seen, in words, in numbers or in the course of days."""

    kind: Literal["flagged"] = "flagged"
    flag: str
    tier: TierName
    words: str
    reason: Reason


class Held(Fact):
    """All loading stopped. `by` is ``coach`` or the clinician."""

    kind: Literal["held"] = "held"
    by: str
    reason: Reason


class Alerted(Fact):
    """An alert went to a person: the first time, again, or on to the next; `round` counts how often the list was begun."""

    kind: Literal["alerted"] = "alerted"
    alert: str
    flag: str
    tier: TierName
    words: str
    to: str
    attempt: int
    round: int = 1


class Acknowledged(Fact):
    """A person took the alert."""

    kind: Literal["acknowledged"] = "acknowledged"
    alert: str
    by: str


class AthleteTold(Fact):
    """The athlete was told that nobody has answered the alert yet."""

    kind: Literal["athlete-told"] = "athlete-told"
    alert: str


# ---- the talk ----------------------------------------------------------------------------------------------------


class Asked(Fact):
    """The conversation stands at this topic now; `tries` counts how often this question was not understood.

    `part` is the slot asked for when only that is missing, `keep` the slots already told that still hold,
    `quote` the words the question quotes, `pending` a whole message that is answered once the topic is over.
    `over`: laid over the topic before, which waits beneath.
    """

    kind: Literal["asked"] = "asked"
    topic: str
    tries: int = 0
    part: str = ""
    keep: tuple[str, ...] = ()
    quote: str = ""
    pending: str = ""
    over: bool = False


class Resumed(Fact):
    """A topic is over: the conversation stands at the one beneath it, or at none."""

    kind: Literal["resumed"] = "resumed"


class Answered(Fact):
    """An answer was understood. `day` is the athlete's local date; `corrects` marks a second version of an answer."""

    kind: Literal["answered"] = "answered"
    topic: str
    slot: str
    value: Scalar | tuple[str, ...]
    words: str
    day: date
    masked: bool = False
    rose: bool = False
    corrects: bool = False


class Prompted(Fact):
    """The athlete was asked something unasked on this local day: ``morning``, ``again``, ``report``, ``silent`` or ``exam``."""

    kind: Literal["prompted"] = "prompted"
    what: Literal["morning", "again", "report", "silent", "exam"]
    day: date


class IntakeDone(Fact):
    """The athlete finished the intake."""

    kind: Literal["intake-done"] = "intake-done"


class Reopened(Fact):
    """The last answer is being corrected: what its first version moved is taken back. Alerts and holds stay."""

    kind: Literal["reopened"] = "reopened"


class MorningTaken(Fact):
    """The morning check-in of a local day is complete; a second one of the same day corrects the first."""

    kind: Literal["morning-taken"] = "morning-taken"
    day: date
    walking: float
    masked: bool
    sudden: bool
    response: Literal["settled", "sore", "worse"] | None = None


# ---- training ----------------------------------------------------------------------------------------------------


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


class Run(Frozen):
    """The running line of a session: speeds are % of own top speed, zones in metres."""

    kind: Literal["run"] = "run"
    stage: int
    percent: float
    up_to: float
    repetitions: int
    zones: tuple[float, float, float]
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
    """What the athlete did of one line of a session. `done` is false when the line was skipped."""

    kind: Literal["trained"] = "trained"
    session: int
    line: int
    done: bool
    complete: bool
    full_range: bool
    pain: float
    masked: bool = False
    repetitions: tuple[int, ...] = ()
    top: float | None = None
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


class Judged(Fact):
    """The next morning's word on a session: it counts, is repeated, or calls for rest."""

    kind: Literal["judged"] = "judged"
    session: int
    verdict: Verdict
    reason: Reason


class Passed(Fact):
    """A ladder level or a running speed was passed; `item` is the family or ``run``, `at_level` the level or the speed."""

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
    """A rise that waits for a clinician's word (*signed* mode)."""

    kind: Literal["proposed"] = "proposed"
    item: str
    to: float
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
    """The weight on a loaded level changed, in kilograms."""

    kind: Literal["loaded"] = "loaded"
    family: str
    kilograms: float
    reason: Reason


class Topped(Fact):
    """Full speed was reached without pain on this local day, and the next morning agreed."""

    kind: Literal["topped"] = "topped"
    day: date


Event = Annotated[
    Heard | Acted | Ticked
    | Enrolled | Went | Approved | Limited | Chose | Opened | Waived | Noted | Cleared | Closed
    | Scheduled | Messaged | ReviewPlanned | Reviewed | NotCleared | HandedOver | Rostered | Consented
    | Intended | Undone | AlertPassed
    | Focused | Arranged | Sent | Away
    | Flagged | Held | Released | Alerted | Acknowledged | AthleteTold
    | Prompted | Asked | Resumed | Answered | IntakeDone | Reopened | MorningTaken
    | Planned | Prescribed | Trained | SessionDone | SessionSkipped | Judged
    | Passed | Tallied | Proposed | Refused | Stepped | Loaded | Topped,
    Field(discriminator="kind"),
]  # fmt: skip

_ADAPTER: TypeAdapter[Event] = TypeAdapter(Event)


def dump(event: Event) -> str:
    """The event as one line of JSON, the form in which it is stored."""
    return event.model_dump_json(exclude_defaults=False)


def load(text: str) -> Event:
    """The event stored as `text`. Raises pydantic.ValidationError when the text is no event of this version."""
    return _ADAPTER.validate_json(text)


Arrival = Heard | Acted | Intended | Ticked
