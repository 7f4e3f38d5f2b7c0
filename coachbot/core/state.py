"""The state of one case, folded from its facts; `apply` copies what a fact says and decides nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, assert_never

from .events import (
    Acknowledged,
    Acted,
    Alerted,
    Answered,
    Approved,
    Asked,
    AthleteTold,
    Chose,
    Cleared,
    Closed,
    Enrolled,
    Event,
    Flagged,
    Heard,
    Held,
    IntakeDone,
    Judged,
    Limited,
    Line,
    Loaded,
    MorningTaken,
    Noted,
    Opened,
    Passed,
    Planned,
    Prescribed,
    Prompted,
    Proposed,
    Reason,
    Refused,
    Released,
    Reopened,
    Resumed,
    Run,
    Scalar,
    SessionDone,
    SessionSkipped,
    Stepped,
    Tallied,
    Ticked,
    Topped,
    Trained,
    Verdict,
    Waived,
    Went,
)

if TYPE_CHECKING:
    from dataclasses import replace
else:

    def replace(value: Any, **changes: Any) -> Any:
        """A copy with changes; eight times as fast as the one of dataclasses, which asks for every field by name."""
        copy = object.__new__(type(value))
        copy.__dict__.update(value.__dict__, **changes)
        return copy


RUN = "run"
IDLE = "idle"
MEMORY = 120
"""How many mornings, sessions and reasons a state keeps in view; older ones stay in the journal."""


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
    """One alert and how far it got."""

    alert: str
    flag: str
    tier: str
    words: str
    raised_at: datetime
    sent_at: datetime
    to: str
    attempt: int
    taken_by: str | None = None
    athlete_told: bool = False


@dataclass(frozen=True)
class Session:
    """One issued session, what came back of it, and the next morning's verdict."""

    number: int
    day: date
    issued_at: datetime
    lines: tuple[Line, ...]
    results: Mapping[int, Trained] = field(default_factory=dict)
    done_at: datetime | None = None
    skipped: bool = False
    sudden: bool = False
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

    `passes` and `over` count sessions in a row at this level.
    """

    level: float
    fewer: bool = False
    passes: int = 0
    over: int = 0
    load: float | None = None
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
    approved_by: str | None = None
    signed: bool = False
    families: tuple[str, ...] = ()
    limits: Mapping[str, float] = field(default_factory=dict)
    opened: frozenset[str] = frozenset()
    cleared_by: str | None = None
    talk: Talk = Talk()
    intake: Mapping[str, Scalar | tuple[str, ...]] = field(default_factory=dict)
    answers: Mapping[str, Answered] = field(default_factory=dict)
    last_answer: Answered | None = None
    prompts: Mapping[str, date] = field(default_factory=dict)
    mornings: tuple[MorningTaken, ...] = ()
    sessions: tuple[Session, ...] = ()
    announced: Mapping[date, str] = field(default_factory=dict)
    ladders: Mapping[str, Rung] = field(default_factory=dict)
    run: Rung | None = None
    passed: frozenset[str] = frozenset()
    passed_run: frozenset[float] = frozenset()
    waived: frozenset[tuple[str, float]] = frozenset()
    topped: tuple[date, ...] = ()
    flagged: tuple[Flagged, ...] = ()
    alerts: Mapping[str, OpenAlert] = field(default_factory=dict)
    reasons: tuple[tuple[datetime, Reason], ...] = ()
    before: Standing | None = None
    heard_at: datetime | None = None
    ticked_at: datetime | None = None

    @property
    def session(self) -> Session | None:
        """The last issued session."""
        return self.sessions[-1] if self.sessions else None

    @property
    def morning(self) -> MorningTaken | None:
        """The last complete morning check-in."""
        return self.mornings[-1] if self.mornings else None

    def rung(self, item: str) -> Rung | None:
        """Where a ladder family, or ``run``, stands."""
        return self.run if item == RUN else self.ladders.get(item)


def fold(events: Iterable[Event], state: State | None = None) -> State:
    """The state after all these facts, in order."""
    state = state or State()
    for event in events:
        state = apply(state, event)
    return state


def apply(state: State, event: Event) -> State:
    """The state after one more fact."""
    match event:
        case Heard():
            return replace(state, heard_at=event.at)
        case Ticked():
            return replace(state, ticked_at=event.at)
        case Acted() | Noted() | IntakeDone() | AthleteTold():
            return _mark(state, event)
        case Enrolled() | Went() | Approved() | Limited() | Chose() | Opened() | Cleared() | Closed():
            return _case(state, event)
        case Flagged() | Held() | Released() | Alerted() | Acknowledged():
            return _safety(state, event)
        case Asked() | Resumed() | Prompted() | Answered() | Reopened() | MorningTaken():
            return _talk(state, event)
        case Planned() | Prescribed() | Trained() | SessionDone() | SessionSkipped() | Judged():
            return _training(state, event)
        case Passed() | Tallied() | Proposed() | Refused() | Stepped() | Loaded() | Topped() | Waived():
            return _progress(state, event)
        case _:
            assert_never(event)


def _mark(state: State, event: Acted | Noted | IntakeDone | AthleteTold) -> State:
    if isinstance(event, AthleteTold):
        told = replace(state.alerts[event.alert], athlete_told=True)
        return replace(state, alerts={**state.alerts, event.alert: told})
    return state


def _case(state: State, event: Enrolled | Went | Approved | Limited | Chose | Opened | Cleared | Closed) -> State:
    match event:
        case Enrolled():
            return replace(
                state,
                athlete=event.athlete,
                name=event.name,
                clinicians=event.clinicians,
                zone=event.zone,
                language=event.language,
                course_since=event.at,
            )
        case Went():
            return _because(replace(state, course=event.to, course_since=event.at), event.at, event.reason)
        case Approved():
            return replace(state, approved_by=event.by, families=event.families, signed=event.signed)
        case Limited():
            return replace(state, limits={**state.limits, event.number: event.value})
        case Chose():
            families = state.families if event.families is None else event.families
            return replace(state, families=families, signed=state.signed if event.signed is None else event.signed)
        case Opened():
            return replace(state, opened=state.opened | {event.what})
        case Cleared():
            return replace(state, cleared_by=event.by)
        case Closed():
            return replace(state, talk=Talk())
        case _:
            assert_never(event)


def _safety(state: State, event: Flagged | Held | Released | Alerted | Acknowledged) -> State:
    match event:
        case Flagged():
            return _because(replace(state, flagged=(*state.flagged, event)[-MEMORY:]), event.at, event.reason)
        case Held():
            hold = state.hold or Hold(event.at, event.by, event.reason)
            return _because(replace(state, hold=hold), event.at, event.reason)
        case Released():
            return replace(state, hold=None)
        case Alerted():
            known = state.alerts.get(event.alert)
            opened = OpenAlert(
                event.alert,
                event.flag,
                event.tier,
                event.words,
                known.raised_at if known else event.at,
                event.at,
                event.to,
                event.attempt,
                athlete_told=known.athlete_told if known else False,
            )
            return replace(state, alerts={**state.alerts, event.alert: opened})
        case Acknowledged():
            taken = replace(state.alerts[event.alert], taken_by=event.by)
            return replace(state, alerts={**state.alerts, event.alert: taken})
        case _:
            assert_never(event)


def _talk(state: State, event: Asked | Resumed | Prompted | Answered | Reopened | MorningTaken) -> State:
    match event:
        case Asked():
            return replace(state, talk=_topic(state.talk, event))
        case Resumed():
            return replace(state, talk=state.talk.under or Talk())
        case Prompted():
            return replace(state, prompts={**state.prompts, event.what: event.day})
        case Answered():
            talk = replace(state.talk, told=state.talk.told | {event.slot})
            state = replace(state, talk=talk, answers={**state.answers, event.slot: event}, last_answer=event)
            if event.topic.startswith("intake."):
                state = replace(state, intake={**state.intake, event.slot: event.value})
            if event.slot == "zone" and isinstance(event.value, str):
                state = replace(state, zone=event.value)
            return state
        case MorningTaken():
            state = replace(state, before=_standing(state))
            earlier = tuple(m for m in state.mornings if m.day != event.day)
            return replace(state, mornings=(*earlier, event)[-MEMORY:])
        case Reopened():
            return _as_before(state)
        case _:
            assert_never(event)


def _topic(talk: Talk, event: Asked) -> Talk:
    under = talk.under
    if event.over:
        under = talk if talk.topic != IDLE else None
    told = frozenset(event.keep)
    return Talk(event.topic, event.tries, event.part, told, event.quote, event.pending, event.at, under)


def _training(state: State, event: Planned | Prescribed | Trained | SessionDone | SessionSkipped | Judged) -> State:
    if isinstance(event, Planned):
        return replace(state, announced=dict(event.days))
    if isinstance(event, Prescribed):
        issued = Session(event.number, event.day, event.at, event.lines)
        earlier = tuple(s for s in state.sessions if s.number != event.number)
        state = replace(state, sessions=(*earlier, issued)[-MEMORY:])
        return _because(state, event.at, *event.reasons, *(line.reason for line in event.lines))
    session = next(s for s in reversed(state.sessions) if s.number == event.session)
    match event:
        case Trained():
            changed = replace(session, results={**session.results, event.line: event})
            state = replace(state, before=_standing(state))
            state = _exercised(state, session.lines[event.line], event)
        case SessionDone():
            changed = replace(session, done_at=event.at, sudden=event.sudden)
        case SessionSkipped():
            changed = replace(session, skipped=True)
        case Judged():
            changed = replace(session, verdict=event.verdict)
            state = _because(state, event.at, event.reason)
        case _:
            assert_never(event)
    sessions = tuple(changed if s.number == session.number else s for s in state.sessions)
    return replace(state, sessions=sessions)


def _exercised(state: State, line: Line, result: Trained) -> State:
    """A done line starts the gap that the next one of its kind must keep."""
    if not result.done:
        return state
    item = RUN if isinstance(line, Run) else line.family
    rung = state.rung(item)
    return _rung(state, item, replace(rung, last_done=result.at)) if rung else state


def _progress(
    state: State,
    event: Passed | Tallied | Proposed | Refused | Stepped | Loaded | Topped | Waived,
) -> State:
    match event:
        case Passed():
            if event.item == RUN:
                state = replace(state, passed_run=state.passed_run | {event.at_level})
            else:
                state = replace(state, passed=state.passed | {event.exercise})
            return _because(state, event.at, event.reason)
        case Tallied():
            rung = state.rung(event.item)
            assert rung is not None, "only a ladder that was stepped onto is tallied"
            tallied = replace(rung, passes=event.passes, over=event.over, not_before=event.not_before, why=event.reason)
            return _because(_rung(state, event.item, tallied), event.at, event.reason)
        case Proposed() | Refused():
            rung = state.rung(event.item)
            assert rung is not None, "only a ladder that was stepped onto can be raised"
            proposed = event.to if isinstance(event, Proposed) else None
            state = _rung(state, event.item, replace(rung, proposed=proposed, passes=0))
            return _because(state, event.at, event.reason) if isinstance(event, Proposed) else state
        case Stepped():
            rung = state.rung(event.item) or Rung(event.to)
            moved = replace(
                rung,
                level=event.to,
                fewer=event.fewer,
                passes=0,
                proposed=None,
                since=event.at,
                why=event.reason,
            )
            return _because(_rung(state, event.item, moved), event.at, event.reason)
        case Loaded():
            rung = replace(state.ladders[event.family], load=event.kilograms)
            return _because(_rung(state, event.family, rung), event.at, event.reason)
        case Topped():
            return replace(state, topped=(*state.topped, event.day))
        case Waived():
            return replace(state, waived=state.waived | {(event.item, event.to)})
        case _:
            assert_never(event)


def _standing(state: State) -> Standing:
    verdicts = {s.number: s.verdict for s in state.sessions[-2:]}
    return Standing(state.course, state.ladders, state.run, state.passed, state.passed_run, state.topped, verdicts)


def _as_before(state: State) -> State:
    was = state.before
    if was is None:
        return state
    return replace(
        state,
        course=was.course,
        ladders=was.ladders,
        run=was.run,
        passed=was.passed,
        passed_run=was.passed_run,
        topped=was.topped,
        sessions=tuple(replace(s, verdict=was.verdicts.get(s.number, s.verdict)) for s in state.sessions),
        before=None,
    )


def _rung(state: State, item: str, rung: Rung) -> State:
    if item == RUN:
        return replace(state, run=rung)
    return replace(state, ladders={**state.ladders, item: rung})


def _because(state: State, at: datetime, *reasons: Reason) -> State:
    return replace(state, reasons=(*state.reasons, *((at, reason) for reason in reasons))[-MEMORY:])
