"""What an after-session report leads to: each line recorded as trained, and pain over the limit acted on at once."""

import re

from coachbot.core.events import Answered, Line, Reopened, Resumed, Run, SessionDone, SessionSkipped, Trained, Work
from coachbot.core.rules import ladder, running, speed
from coachbot.core.state import RUN, Session, Talk
from coachbot.core.turn import Turn

from .because import because

NOTATION = re.compile(
    r"(?:(?P<of>\d+)of\d+|(?P<sets>\d+)x(?P<reps>\d+)?s?|L(?P<left>\d+)/R(?P<right>\d+)|(?P<list>[\d/]+))e?"
    r"(?:@(?P<kg>[\d.]+))?"
)
NOTHING = "NONE"
"""The short form of an exercise that was not done."""
SLOTS = frozenset({"run_reps", "run_top", "run_pain", "work_done", "work_range", "work_pain"})
"""What is told of one line of a session."""


def line_done(turn: Turn, line: int) -> None:
    """Record one line of the open session from the answers just given."""
    session = turn.state.session
    assert session is not None, "a report is only asked for an issued session"
    _record(turn, session.lines[line], _trained(turn, session, line))


def _trained(turn: Turn, session: Session, line: int) -> Trained:
    told = session.lines[line]
    return _run(turn, session, line, told) if isinstance(told, Run) else _work(turn, session, line, told)


def hurt(turn: Turn, answer: Answered) -> None:
    """Very strong pain ends the report: its line is kept at once, and what was not told of it is not assumed."""
    session, talk = turn.state.session, turn.state.talk
    if session is None:
        return None
    open_line = talk.under if talk.dialog == "correct" else talk
    if open_line is None or answer.slot not in open_line.told:
        last = last_line(session)
        return None if last is None else corrected(turn, last)
    assert session.left is not None, "a line is only asked for while one is left"
    trained = _trained(turn, session, session.left).model_copy(update={"complete": False})
    return _record(turn, session.lines[session.left], trained)


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


def _half(turn: Turn, session: Session) -> None:
    """A line half told when its report is broken off: what was said of it stays, and the rest is not assumed."""
    said = [turn.state.answers[slot].at for slot in _open(turn) & SLOTS]
    kept = max((result.at for result in session.results.values()), default=session.issued_at)
    if session.left is None or not said or max(said) <= kept:  # its very strong pain kept the line already
        return None
    trained = _trained(turn, session, session.left)
    return _record(turn, session.lines[session.left], trained) if trained.done else None


def _open(turn: Turn) -> frozenset[str]:
    """What is told of the open line of the report, also beneath an interlude."""
    talk: Talk | None = turn.state.talk
    while talk and talk.dialog != "report":
        talk = talk.under
    return talk.told if talk else frozenset()


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
    _half(turn, session)
    session = turn.state.session or session
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
    reps, fastest, pain = (_about(turn, session, line, slot) for slot in ("run_reps", "run_top", "run_pain"))
    count, top = (float(str(each.value)) if each else None for each in (reps, fastest))
    every = count is not None and count >= told.repetitions and top is not None and top >= told.percent
    return Trained(
        at=turn.at,
        session=session.number,
        line=line,
        done=count != 0,
        complete=every and pain is not None,
        full_range=True,
        pain=float(str(pain.value)) if pain else None,
        masked=pain is not None and pain.masked,
        repetitions=() if count is None else (int(count),),
        top=top,
        seconds=fastest.seconds if fastest else None,
        fast_metres=speed.fast_metres(turn, told, int(count), top) if count and top is not None else 0.0,
        words=" ".join(each.words for each in (reps, fastest, pain) if each),
    )


def _work(turn: Turn, session: Session, line: int, told: Work) -> Trained:
    done, full, pain = (_about(turn, session, line, slot) for slot in ("work_done", "work_range", "work_pain"))
    sets = str(done.value) if done else ""
    repetitions = sets_of(sets, told)
    every = len(repetitions) >= told.sets and min(repetitions, default=0) >= told.reps_low
    return Trained(
        at=turn.at,
        session=session.number,
        line=line,
        done=sets != NOTHING,
        complete=every and pain is not None,
        full_range=full.value is True if full else None,
        pain=float(str(pain.value)) if pain else None,
        masked=pain is not None and pain.masked,
        repetitions=repetitions,
        weight=weight_of(sets),
        words=" ".join(each.words for each in (done, full, pain) if each),
    )


def _about(turn: Turn, session: Session, line: int, slot: str) -> Answered | None:
    """An answer about this line: told in its report, or in the correction of one that is kept; never of another."""
    answer, kept = turn.state.answers.get(slot), session.results.get(line)
    if kept is None:
        return answer if slot in _open(turn) else None
    anew = answer is not None and answer.corrects and answer.at == turn.at
    return answer if anew or _has(kept, slot) else None


def _has(kept: Trained, slot: str) -> bool:
    """Whether a line as it is kept holds what this slot asks for."""
    match slot:
        case "run_reps" | "work_done":
            return bool(kept.repetitions) or not kept.done
        case "run_top":
            return kept.top is not None
        case "work_range":
            return kept.full_range is not None
        case _:
            return kept.pain is not None


def weight_of(notation: str) -> float | None:
    """The weight in kg of the short form ("3x8@20"), None when none was told."""
    found = NOTATION.fullmatch(notation)
    return float(found["kg"]) if found and found["kg"] else None


def sets_of(notation: str, plan: Work) -> tuple[int, ...]:
    """The repetitions of each set from the short form that was echoed ("3x8", "8/8/6", "2of3", "ALL", "NONE")."""
    if notation in ("ALL", NOTHING):
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
