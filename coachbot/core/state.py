"""The state of one case, folded from its facts; `apply` copies what a fact says and decides nothing."""

from collections.abc import Iterable
from typing import assert_never

from .climb import because, moved, placed, progressed
from .events import (
    Acknowledged,
    Acted,
    Alerted,
    AlertPassed,
    Answered,
    Approved,
    Arranged,
    Asked,
    AthleteTold,
    Away,
    Chose,
    Cleared,
    Closed,
    Consented,
    DayOver,
    Enrolled,
    Event,
    Flagged,
    Focused,
    HandedOver,
    Heard,
    Held,
    IntakeDone,
    Intended,
    Judged,
    Kept,
    LanguageChosen,
    Limited,
    Line,
    Loaded,
    Messaged,
    MorningTaken,
    NotCleared,
    Noted,
    Opened,
    Passed,
    PassedOn,
    Planned,
    Prescribed,
    Prompted,
    Proposed,
    Refused,
    Released,
    Remarked,
    Reopened,
    Resumed,
    Reviewed,
    ReviewPlanned,
    Rostered,
    Run,
    Scheduled,
    Sent,
    SessionDone,
    SessionSkipped,
    Settled,
    Shelved,
    Stepped,
    Tallied,
    Ticked,
    Topped,
    Trained,
    Undone,
    Waived,
    Went,
)  # fmt: skip
from .findings import Classified, CriterionWaived, Equipped, Measured, Played, SpeedMeasured
from .known import remembered
from .parts import (
    BY_HAND,
    COURSE as COURSE,
    IDLE as IDLE,
    MEMORY,
    RUN as RUN,
    Hold as Hold,
    Move as Move,
    OpenAlert as OpenAlert,
    Rung as Rung,
    Session as Session,
    Standing as Standing,
    State as State,
    Taken,
    Talk as Talk,
    replace,
)


def fold(events: Iterable[Event], state: State | None = None) -> State:
    """The state after all these facts, in order."""
    state = state or State()
    for event in events:
        state = apply(state, event)
    return state


def apply(state: State, event: Event) -> State:
    """The state after one more fact."""
    if isinstance(event, Undone):
        return _taken_back(state, event)
    if state.acting and not isinstance(event, Heard | Acted | Intended | Ticked):
        state = replace(state, undo=state.acting, acting=None)
    match event:
        case Heard() | Acted() | Intended() | Ticked():
            return _arrived(state, event)
        case IntakeDone() | AthleteTold() | Focused() | Arranged() | LanguageChosen() | Sent() | Away():
            return _mark(state, event)
        case Enrolled() | Went() | Approved() | Limited() | Chose() | Opened() | Cleared() | NotCleared() | Closed():
            return _case(state, event)
        case (
            Scheduled() | Messaged() | Noted() | ReviewPlanned() | Reviewed() | HandedOver() | Rostered() | Consented()
        ):
            return _people(state, event)
        case Flagged() | Held() | Released() | Alerted() | Acknowledged() | AlertPassed():
            return _safety(state, event)
        case Kept() | PassedOn() | Remarked() | Shelved() | Settled():
            return _waits(state, event)
        case Asked() | Resumed() | Prompted() | Answered() | Reopened() | MorningTaken():
            return _talk(state, event)
        case DayOver():
            over = (event.day, event.reason) if event.over else None
            return because(replace(state, day_over=over), event)
        case Planned() | Prescribed() | Trained() | SessionDone() | SessionSkipped() | Judged():
            return _training(state, event)
        case Passed() | Tallied() | Proposed() | Refused() | Stepped() | Loaded() | Topped() | Waived():
            return progressed(state, event)
        case Measured() | SpeedMeasured() | Classified() | CriterionWaived() | Equipped() | Played():
            return remembered(state, event)
        case _:
            assert_never(event)


def _arrived(state: State, event: Heard | Acted | Intended | Ticked) -> State:
    """An athlete's word or the clock follows on what a clinician did: from then on it cannot be taken back."""
    state = replace(state, said=_said(state, event))
    match event:
        case Heard():
            return replace(state, heard_at=event.at, undo=None, acting=None)
        case Ticked():
            return replace(state, ticked_at=event.at, undo=None, acting=None)
        case Intended():
            return replace(state, intended={**state.intended, event.by: event})
        case Acted():
            intended = {by: line for by, line in state.intended.items() if by != event.by}
            before = replace(state, undo=None, acting=None, intended=intended)
            return replace(state, acting=Taken(event.by, event.line, before), intended=intended)


def _said(state: State, event: Heard | Acted | Intended | Ticked) -> tuple[str, ...]:
    """The athlete's whole message; while the closed question about one is open, all since that one."""
    heard = (event.text,) if isinstance(event, Heard) else ()
    return (*state.said, *heard) if state.talk.dialog == "doubt" else heard


def _taken_back(state: State, event: Undone) -> State:
    """The case as it stood before the act; what was heard and what the clock did since is nothing, by rule."""
    assert state.undo is not None, "only an act from which nothing followed is taken back"
    return state.undo.before


def _mark(state: State, event: IntakeDone | AthleteTold | Focused | Arranged | LanguageChosen | Sent | Away) -> State:
    if isinstance(event, AthleteTold):
        told = replace(state.alerts[event.alert], athlete_told=True)
        return replace(state, alerts={**state.alerts, event.alert: told})
    return state


def _people(
    state: State,
    event: Scheduled | Messaged | Noted | ReviewPlanned | Reviewed | HandedOver | Rostered | Consented,
) -> State:
    match event:
        case Scheduled():
            return replace(state, intake={**state.intake, "days": event.days})
        case Noted():
            return replace(state, notes=(*state.notes, event)[-MEMORY:])
        case ReviewPlanned():
            return replace(state, review=event.day, review_note=event.note)
        case Reviewed():
            return replace(state, review=None, reviewed_at=event.at)
        case HandedOver():
            return replace(state, clinicians=event.clinicians)
        case Rostered():
            return replace(state, duties={**state.duties, event.who: event})
        case Consented():
            return replace(state, shares=event.given)
        case Messaged():
            return state


def _case(
    state: State,
    event: Enrolled | Went | Approved | Limited | Chose | Opened | Cleared | NotCleared | Closed,
) -> State:
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
            state = moved(state, event, COURSE, state.course, "coach")
            return because(replace(state, course=event.to, course_since=event.at), event)
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
            return replace(state, cleared_by=event.by, cleared_at=event.at, before=None)
        case NotCleared():
            return state
        case Closed():
            return replace(state, talk=Talk(), before=None)
        case _:
            assert_never(event)


def _safety(state: State, event: Flagged | Held | Released | Alerted | Acknowledged | AlertPassed) -> State:
    match event:
        case Flagged():
            return because(replace(state, flagged=(*state.flagged, event)[-MEMORY:]), event)
        case Held():
            if state.hold is None:
                hold = Hold(event.at, event.by, event.reason)
                state = replace(state, hold=hold, passed_on_at=None, shelved="")
            return because(state, event)
        case Released():
            return replace(state, hold=None)
        case Alerted():
            return replace(state, alerts={**state.alerts, event.alert: _sent(state.alerts.get(event.alert), event)})
        case AlertPassed():
            passed = state.alerts[event.alert]
            tried = (event.by,) if event.by in state.clinicians else ()
            open_again = replace(passed, taken_by=None, round=passed.round + 1, tried=tried, tries=0)
            return replace(state, alerts={**state.alerts, event.alert: open_again})
        case Acknowledged():
            taken = replace(state.alerts[event.alert], taken_by=event.by)
            return replace(state, alerts={**state.alerts, event.alert: taken})
        case _:
            assert_never(event)


def _waits(state: State, event: Kept | PassedOn | Remarked | Shelved | Settled) -> State:
    """What waits for the clinicians to read, and a question that a hold put off."""
    match event:
        case Kept():
            return replace(state, waiting=(*state.waiting, event.words))
        case PassedOn():
            return replace(state, waiting=(), passed_on_at=event.at)
        case Remarked():
            return replace(state, remarks=(*state.remarks, event)[-MEMORY:])
        case Shelved():
            return replace(state, shelved=event.quote)
        case Settled():
            return replace(state, shelved="")


def _sent(known: OpenAlert | None, event: Alerted) -> OpenAlert:
    """How far the alert got: the same person once more, another of this round, or the list begun again."""
    same_round = known is not None and known.round == event.round
    tried = known.tried if known and same_round else ()
    again = known is not None and same_round and known.to == event.to and known.tries > 0
    return OpenAlert(
        event.alert,
        event.flag,
        event.tier,
        event.words,
        known.raised_at if known else event.at,
        event.at,
        event.to,
        event.attempt,
        round=event.round,
        tries=known.tries + 1 if known and again else 1,
        tried=tried if event.to in tried else (*tried, event.to),
        athlete_told=known.athlete_told if known else False,
        said=event.said,
    )


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
            if event.slot == "language" and isinstance(event.value, str):
                state = replace(state, language=event.value)
            if event.slot == "consent":
                state = replace(state, shares=event.value is True)
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
        issued = Session(event.number, event.day, event.at, event.lines, event.reasons)
        earlier = tuple(s for s in state.sessions if s.number != event.number)
        state = replace(state, sessions=(*earlier, issued)[-MEMORY:])
        return because(state, event)
    session = next(s for s in reversed(state.sessions) if s.number == event.session)
    match event:
        case Trained():
            changed = replace(session, results={**session.results, event.line: event})
            state = replace(state, before=_standing(state))
            state = _exercised(state, session.lines[event.line], event)
        case SessionDone():
            changed = replace(session, done_at=event.at, sudden=event.sudden)
            changed = replace(changed, effort=event.effort, minutes=event.minutes)
        case SessionSkipped():
            changed = replace(session, skipped=True, refused=event.said)
        case Judged():
            changed = replace(session, verdict=event.verdict)
            state = because(state, event)
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
    return placed(state, item, replace(rung, last_done=result.at)) if rung else state


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
        ladders={**was.ladders, **{f: r for f, r in state.ladders.items() if _by_hand(r, was.ladders.get(f))}},
        run=state.run if state.run and _by_hand(state.run, was.run) else was.run,
        passed=was.passed,
        passed_run=was.passed_run,
        topped=was.topped,
        sessions=tuple(replace(s, verdict=was.verdicts.get(s.number, s.verdict)) for s in state.sessions),
        before=None,
    )


def _by_hand(rung: Rung, was: Rung | None) -> bool:
    """Whether a clinician set this level since then: no correction of the athlete takes that back."""
    return rung.why is not None and rung.why.rule in BY_HAND and (was is None or rung.since != was.since)
