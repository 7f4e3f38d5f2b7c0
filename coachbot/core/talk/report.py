"""What an after-session report leads to: each line recorded as trained, and pain over the limit acted on at once."""

import re

from coachbot.core.events import Answered, Line, Reopened, Resumed, Run, SessionDone, SessionSkipped, Trained, Work
from coachbot.core.rules import ladder, running, speed
from coachbot.core.state import RUN, Session
from coachbot.core.turn import Turn

from .because import because

NOTATION = re.compile(
    r"(?:(?P<of>\d+)of\d+|(?P<sets>\d+)x(?P<reps>\d+)?s?|L(?P<left>\d+)/R(?P<right>\d+)|(?P<list>[\d/]+))e?"
    r"(?:@(?P<kg>[\d.]+))?"
)


def line_done(turn: Turn, line: int) -> None:
    """Record one line of the open session from the answers just given."""
    session = turn.state.session
    assert session is not None, "a report is only asked for an issued session"
    told = session.lines[line]
    trained = _run(turn, session, line, told) if isinstance(told, Run) else _work(turn, session, line, told)
    _record(turn, told, trained)


def hurt(turn: Turn, answer: Answered) -> None:
    """Very strong pain ends the report: its line is kept at once, and what was not told of it is not assumed."""
    session, talk = turn.state.session, turn.state.talk
    if session is None:
        return None
    open_line = talk.under if talk.dialog == "correct" else talk
    if open_line is None or answer.slot not in open_line.told:
        last = last_line(session)
        return None if last is None else corrected(turn, last)
    line = session.left
    assert line is not None, "a line is only asked for while one is left"
    trained = Trained(
        at=turn.at,
        session=session.number,
        line=line,
        done=True,
        complete=False,
        full_range=False,
        pain=float(str(answer.value)),
        masked=answer.masked,
        words=answer.words,
    )
    return _record(turn, session.lines[line], trained)


def _record(turn: Turn, line: Line, trained: Trained) -> None:
    """Keep what was told of a line, and act at once on pain over the limit."""
    turn.conclude(trained)
    item = RUN if isinstance(line, Run) else line.family
    before = turn.state.rung(item)
    if isinstance(line, Run):
        running.reported(turn, line, trained)
    else:
        ladder.reported(turn, line, trained)
    after = turn.state.rung(item)
    if after and after is not before and after.why and after.why.rule.endswith("over_limit"):
        turn.reply("report.over_limit", reason=because(after.why))


def close(turn: Turn, *, sudden: bool) -> None:
    """The report is complete."""
    session = turn.state.session
    assert session is not None, "a report is only asked for an issued session"
    effort, minutes = (_given(turn, slot) for slot in ("effort", "minutes"))
    turn.conclude(SessionDone(at=turn.at, session=session.number, effort=effort, minutes=minutes, sudden=sudden))


def break_off(turn: Turn, *, sudden: bool, said: bool) -> None:
    """End the open session, and a report of it, before it is complete; what was told of it stays.

    `said`: the athlete said that nothing of it was done.
    """
    session = turn.state.session
    if session is None or not session.open:
        return
    if session.results or sudden:
        turn.conclude(SessionDone(at=turn.at, session=session.number, effort=None, minutes=None, sudden=sudden))
    else:
        turn.conclude(SessionSkipped(at=turn.at, session=session.number, said=said))
    if turn.state.talk.dialog == "report":
        turn.conclude(Resumed(at=turn.at))


def corrected(turn: Turn, line: int) -> None:
    """A corrected answer about one line: what the first version moved is taken back, its alerts stay."""
    turn.conclude(Reopened(at=turn.at))
    line_done(turn, line)


def last_line(session: Session) -> int | None:
    """The line told last."""
    return max(session.results, default=None)


def _given(turn: Turn, slot: str) -> float | None:
    """An optional answer, when the message that ended the report held it."""
    answer = turn.state.answers.get(slot)
    return float(str(answer.value)) if answer and answer.at == turn.at else None


def _run(turn: Turn, session: Session, line: int, told: Run) -> Trained:
    reps = turn.state.answers["run_reps"]
    repetitions = int(float(str(reps.value)))
    fastest, pain = (_since(turn, session, slot) for slot in ("run_top", "run_pain"))
    top = float(str(fastest.value)) if fastest else 0.0
    return Trained(
        at=turn.at,
        session=session.number,
        line=line,
        done=repetitions > 0,
        complete=repetitions >= told.repetitions and top >= told.percent and pain is not None,
        full_range=True,
        pain=float(str(pain.value)) if pain else None,
        masked=pain is not None and pain.masked,
        repetitions=(repetitions,),
        top=top,
        seconds=fastest.seconds if fastest else None,
        fast_metres=speed.fast_metres(turn, told, repetitions, top) if fastest else 0.0,
        words=" ".join(each.words for each in (reps, fastest, pain) if each),
    )


def _since(turn: Turn, session: Session, slot: str) -> Answered | None:
    """An answer about this session; none where nothing was run, and never the one about an earlier session."""
    answer = turn.state.answers.get(slot)
    return answer if answer and answer.at >= session.issued_at else None


def _work(turn: Turn, session: Session, line: int, told: Work) -> Trained:
    answers = turn.state.answers
    done, pain = answers["work_done"], answers["work_pain"]
    repetitions = sets_of(str(done.value), told)
    return Trained(
        at=turn.at,
        session=session.number,
        line=line,
        done=done.value != "NONE",
        complete=len(repetitions) >= told.sets and min(repetitions, default=0) >= told.reps_low,
        full_range=answers["work_range"].value is True,
        pain=float(str(pain.value)),
        masked=pain.masked,
        repetitions=repetitions,
        weight=weight_of(str(done.value)),
        words=f"{done.words} {answers['work_range'].words} {pain.words}",
    )


def weight_of(notation: str) -> float | None:
    """The weight in kg of the short form ("3x8@20"), None when none was told."""
    found = NOTATION.fullmatch(notation)
    return float(found["kg"]) if found and found["kg"] else None


def sets_of(notation: str, plan: Work) -> tuple[int, ...]:
    """The repetitions of each set from the short form that was echoed ("3x8", "8/8/6", "2of3", "ALL", "NONE")."""
    if notation in ("ALL", "NONE"):
        return (plan.reps_low,) * (plan.sets if notation == "ALL" else 0)
    found = NOTATION.fullmatch(notation)
    if found is None:
        return ()
    if found["of"]:
        return (plan.reps_low,) * int(found["of"])
    if found["sets"]:
        return (int(found["reps"] or plan.reps_low),) * int(found["sets"])
    if found["left"]:
        return (min(int(found["left"]), int(found["right"])),)
    return tuple(int(each) for each in found["list"].split("/"))
