"""The facts of a case, in the past tense: what arrived and what was concluded; they are stored and never changed."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from .book import TierName
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
    LanguageChosen as LanguageChosen,
    Limited as Limited,
    Messaged as Messaged,
    NotCleared as NotCleared,
    Noted as Noted,
    Opened as Opened,
    Refused as Refused,
    Released as Released,
    Reviewed as Reviewed,
    ReviewPlanned as ReviewPlanned,
    RoleName as RoleName,
    Rostered as Rostered,
    Scheduled as Scheduled,
    Sent as Sent,
    Undone as Undone,
    Waived as Waived,
)
from .fact import Fact as Fact, Reason as Reason, Scalar as Scalar, Verdict as Verdict
from .findings import (
    Classified as Classified,
    CriterionWaived as CriterionWaived,
    Equipped as Equipped,
    Measured as Measured,
    Played as Played,
    SpeedMeasured as SpeedMeasured,
)
from .sessions import (
    DayOver as DayOver,
    Judged as Judged,
    Line as Line,
    Loaded as Loaded,
    Passed as Passed,
    Planned as Planned,
    Prescribed as Prescribed,
    Proposed as Proposed,
    Run as Run,
    SessionDone as SessionDone,
    SessionSkipped as SessionSkipped,
    Stepped as Stepped,
    Tallied as Tallied,
    Target as Target,
    Topped as Topped,
    Trained as Trained,
    Work as Work,
)

# ---- arrivals ----------------------------------------------------------------------------------------------------


class Heard(Fact):
    """A message of the athlete. `edits` names the message it replaces, when the channel says so."""

    kind: Literal["heard"] = "heard"
    text: str
    edits: str | None = None


Other = tuple[str, float, bool]
"""Another case of the clinic, without a name: its kind, its days from the injury, whether the athlete was back."""


class Acted(Fact):
    """A clinician's line, their name and the colleague it names; what it changed stands in the conclusions after it.

    `others`: the clinic's other cases, with a line that asks for an outlook.
    """

    kind: Literal["acted"] = "acted"
    by: str
    line: str
    role: RoleName = "clinician"
    colleague: str = ""
    others: tuple[Other, ...] = ()


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
    """An alert went to a person: first, again, or on to the next; `round` counts how often the list was begun.

    `said`: the athlete's whole messages that it came from, none for an alert of the clock.
    """

    kind: Literal["alerted"] = "alerted"
    alert: str
    flag: str
    tier: TierName
    words: str
    to: str
    attempt: int
    round: int = 1
    said: tuple[str, ...] = ()


class Acknowledged(Fact):
    """A person took the alert."""

    kind: Literal["acknowledged"] = "acknowledged"
    alert: str
    by: str


class Kept(Fact):
    """Words that the athlete wrote on hold wait for the clinicians, to go out together with others."""

    kind: Literal["kept"] = "kept"
    words: str


class PassedOn(Fact):
    """All words that waited went to the clinicians in one message."""

    kind: Literal["passed-on"] = "passed-on"


class Remarked(Fact):
    """Words that answered no question and were no message to anybody: clinicians read them at their desk."""

    kind: Literal["remarked"] = "remarked"
    words: str


class Shelved(Fact):
    """A hold came upon an open question about unsure words: `quote` is asked about again after the release."""

    kind: Literal["shelved"] = "shelved"
    quote: str


class Settled(Fact):
    """The question that a hold had put off was answered with no."""

    kind: Literal["settled"] = "settled"


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
    """An answer was understood. `day` is the athlete's local date; `corrects` marks a second version of an answer.

    `seconds`: the time on a clock from which the value was computed.
    """

    kind: Literal["answered"] = "answered"
    topic: str
    slot: str
    value: Scalar | tuple[str, ...]
    words: str
    day: date
    masked: bool = False
    rose: bool = False
    corrects: bool = False
    seconds: float | None = None


class Prompted(Fact):
    """The athlete was asked something unasked on this local day: one of `what`."""

    kind: Literal["prompted"] = "prompted"
    what: Literal["morning", "again", "report", "silent", "exam", "watch"]
    day: date


class IntakeDone(Fact):
    """The athlete finished the intake."""

    kind: Literal["intake-done"] = "intake-done"


class Reopened(Fact):
    """The last answer is being corrected: what its first version moved is taken back. Alerts and holds stay."""

    kind: Literal["reopened"] = "reopened"


class MorningTaken(Fact):
    """The morning check-in of a local day; a second one of the same day corrects the first.

    `partial`: it was broken off after its score, which stands although nothing may be trained on it.
    """

    kind: Literal["morning-taken"] = "morning-taken"
    day: date
    walking: float
    masked: bool
    sudden: bool
    response: Literal["settled", "sore", "worse"] | None = None
    partial: bool = False


Event = Annotated[
    Heard | Acted | Ticked
    | Enrolled | Went | Approved | Limited | Chose | Opened | Waived | Noted | Cleared | Closed
    | Scheduled | Messaged | ReviewPlanned | Reviewed | NotCleared | HandedOver | Rostered | Consented
    | Intended | Undone | AlertPassed
    | Focused | Arranged | LanguageChosen | Sent | Away
    | Flagged | Held | Released | Alerted | Acknowledged | AthleteTold | Kept | PassedOn | Remarked | Shelved | Settled
    | Prompted | Asked | Resumed | Answered | IntakeDone | Reopened | MorningTaken
    | Planned | Prescribed | Trained | SessionDone | SessionSkipped | DayOver | Judged
    | Passed | Tallied | Proposed | Refused | Stepped | Loaded | Topped
    | Measured | SpeedMeasured | Classified | CriterionWaived | Equipped | Played,
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
