"""The facts that people's decisions about a case become: never changed once stored."""

from datetime import date, datetime
from typing import Literal

from .fact import Fact

RoleName = Literal["owner", "clinician", "staff", "athlete"]


class Approved(Fact):
    """The clinician approved the programme: exercise families and whether rises are signed."""

    kind: Literal["approved"] = "approved"
    by: str
    families: tuple[str, ...]
    signed: bool = False


class Limited(Fact):
    """A clinician set a number of the programme for this athlete, inside its range."""

    kind: Literal["limited"] = "limited"
    by: str
    number: str
    value: float
    note: str


class Chose(Fact):
    """A clinician changed the exercise families, or how rises are made."""

    kind: Literal["chose"] = "chose"
    by: str
    families: tuple[str, ...] | None = None
    signed: bool | None = None
    note: str = ""


class Opened(Fact):
    """A clinician opened something that needs their word: ``fast`` running or ``early-run``."""

    kind: Literal["opened"] = "opened"
    by: str
    what: Literal["fast", "early-run"]
    note: str


class Waived(Fact):
    """A clinician waived a rule with a reason; `item` is a ladder family or ``run``, `to` the level or speed set."""

    kind: Literal["waived"] = "waived"
    by: str
    item: str
    to: float
    note: str


class Noted(Fact):
    """A clinician wrote a note, for the record only."""

    kind: Literal["noted"] = "noted"
    by: str
    note: str


class Cleared(Fact):
    """A named clinician signed the return to sport."""

    kind: Literal["cleared"] = "cleared"
    by: str
    note: str


class Closed(Fact):
    """A clinician discharged the athlete."""

    kind: Literal["closed"] = "closed"
    by: str
    note: str


class Scheduled(Fact):
    """A clinician set the weekdays on which the athlete trains (``mon`` to ``sun``)."""

    kind: Literal["scheduled"] = "scheduled"
    by: str
    days: tuple[str, ...]
    note: str


class Messaged(Fact):
    """A clinician sent the athlete a message."""

    kind: Literal["messaged"] = "messaged"
    by: str
    words: str


class ReviewPlanned(Fact):
    """The next review has a date: a clinician's, or the coach's own (`by` is ``coach``)."""

    kind: Literal["review-planned"] = "review-planned"
    by: str
    day: date
    note: str


class Reviewed(Fact):
    """A clinician examined the athlete."""

    kind: Literal["reviewed"] = "reviewed"
    by: str
    note: str


class NotCleared(Fact):
    """A clinician looked at the criteria and did not sign the return to sport."""

    kind: Literal["not-cleared"] = "not-cleared"
    by: str
    note: str


class HandedOver(Fact):
    """The case went to a colleague; `clinicians` is the order in which alerts go out from now on."""

    kind: Literal["handed-over"] = "handed-over"
    by: str
    to: str
    clinicians: tuple[str, ...]
    note: str


class Rostered(Fact):
    """When a clinician can be reached, in their own zone; on no day: they have left. `number`: outside, or empty."""

    kind: Literal["rostered"] = "rostered"
    who: str
    zone: str
    days: tuple[str, ...]
    from_hour: float
    to_hour: float
    number: str


class Consented(Fact):
    """The athlete gave, or withdrew, the consent that coaches may see whether they can train."""

    kind: Literal["consented"] = "consented"
    given: bool


class Intended(Fact):
    """A clinician's line with a weighty act in it: it was repeated back and waits for their "yes"."""

    kind: Literal["intended"] = "intended"
    by: str
    line: str
    role: RoleName


class Undone(Fact):
    """A clinician took back their last act, from which nothing had followed."""

    kind: Literal["undone"] = "undone"
    by: str


class Released(Fact):
    """A clinician let loading begin again."""

    kind: Literal["released"] = "released"
    by: str
    note: str


class Refused(Fact):
    """A clinician refused a proposed rise."""

    kind: Literal["refused"] = "refused"
    by: str
    item: str
    note: str


class AlertPassed(Fact):
    """A clinician passed an alert on to a colleague."""

    kind: Literal["alert-passed"] = "alert-passed"
    alert: str
    by: str
    to: str


# ---- one clinician's desk, in a stream of its own ----------------------------------------------------------------


class Focused(Fact):
    """The desk turned to a case; `waits` says whether an act on it waits for a "yes"."""

    kind: Literal["focused"] = "focused"
    case: str
    waits: bool


class Arranged(Fact):
    """A clinician's zone, and the hours of the digest and the team's board (None: not by the clock)."""

    kind: Literal["arranged"] = "arranged"
    zone: str
    digest_hour: float | None
    board_hour: float | None


class LanguageChosen(Fact):
    """A clinician, or whoever has a desk, reads it in this language from now on."""

    kind: Literal["language-chosen"] = "language-chosen"
    language: str


class Sent(Fact):
    """The digest, or the team's board, went out by the clock on this local day of the clinician."""

    kind: Literal["sent"] = "sent"
    what: Literal["digest", "board"]
    day: date


class Away(Fact):
    """The coach was not running since this instant, and so many things had become due."""

    kind: Literal["away"] = "away"
    since: datetime
    due: int
