"""What a clinician sees: the caseload in a line a case, and one case on one screen; it changes nothing."""

from collections.abc import Iterable

from ..effects import Word
from ..state import RUN, State
from ..talk.because import because
from .alerts import waiting

LAST = 7
"""How many mornings and reasons one screen shows."""


def caseload(states: Iterable[State]) -> tuple[Word, ...]:
    """A line a case: open alerts first, then holds, then the rest by name."""
    order = sorted(states, key=lambda s: (not waiting(s), s.hold is None, s.name))
    return tuple(_line(state) for state in order) or (Word("desk.nobody"),)


def _line(state: State) -> Word:
    scores = [m.walking for m in state.mornings[-3:]]
    alerts = waiting(state)
    mark = Word("mark.alert", {"flag": Word(f"flag.{alerts[0].flag}")}) if alerts else Word("mark.none")
    if state.hold and not alerts:
        mark = Word("mark.hold")
    course = Word(f"course.{state.course}")
    return Word("caseload.line", {"name": state.name, "course": course, "scores": scores or "–", "mark": mark})


def case(state: State) -> tuple[Word, ...]:
    """One case on one screen: course, hold, scores, levels, what waits, and the last reasons."""
    lines = [_line(state)]
    if state.hold:
        lines.append(Word("case.hold", {"reason": because(state.hold.reason)}))
    lines += [Word("case.alert", {"alert": a.alert, "flag": Word(f"flag.{a.flag}"), "words": a.words}) for a in waiting(state)]
    lines += [Word("case.morning", {"day": m.day, "score": m.walking}) for m in state.mornings[-LAST:]]
    lines += [_rung(item, state) for item in (*state.ladders, *((RUN,) if state.run else ()))]
    if state.last_answer:
        lines.append(Word("case.last_answer", {"words": state.last_answer.words}))
    return (*lines, *(Word("case.reason", {"reason": because(reason)}) for _, reason in state.reasons[-LAST:]))


def _rung(item: str, state: State) -> Word:
    rung = state.rung(item)
    assert rung is not None, "only ladders that were begun are shown"
    key = "case.run" if item == RUN else "case.level"
    values: dict[str, object] = {"family": Word(f"family.{item}") if item != RUN else RUN, "level": rung.level}
    if rung.proposed is not None:
        return Word(f"{key}_proposed", {**values, "to": rung.proposed})
    return Word(key, values)
