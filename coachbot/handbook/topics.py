"""What is wrong with the dialogs and the course of a case: names that lead nowhere, topics without a way in or out."""

from collections.abc import Container, Iterable, Iterator, Mapping

from coachbot.core.book import Arrow, CourseTable, Dialog, Question
from coachbot.core.flow import ANSWERS, END, GUARDS
from coachbot.handbook.draft import Draft
from coachbot.handbook.yamlfile import Finding, Page, Where

CHOICE = "choice"


def findings(draft: Draft) -> Iterator[Finding]:
    """What is wrong in ``dialogs/flow``."""
    for name, dialog in draft.dialogs.items():
        page = draft.pages[f"flow/{name}.yaml"]
        if dialog.name != name:
            yield page.finding(("name",), f"is {dialog.name}, but the file is {name}. Use one name.")
        yield from _dialog(page, dialog)
        yield from _reached(page, dialog)
    if draft.course:
        yield from _course(draft.pages["flow/course.yaml"], draft.course)


def _dialog(page: Page, dialog: Dialog) -> Iterator[Finding]:
    known = {*dialog.questions, END}
    yield from _arrows(page, ("start",), dialog.start, known)
    for name, question in dialog.questions.items():
        yield from _arrows(page, ("questions", name, "then"), question.then, known)
        yield from _answers(page, ("questions", name, "parts"), question)


def _reached(page: Page, dialog: Dialog) -> Iterator[Finding]:
    ways = {name: {arrow.to for arrow in question.then} for name, question in dialog.questions.items()}
    reached = _reach(ways, {arrow.to for arrow in dialog.start})
    for name in dialog.questions:
        if name not in reached:
            yield page.finding(("questions", name), "no arrow leads here. Add an arrow, or take the topic out.")
        elif END not in _reach(ways, {name}):
            yield page.finding(("questions", name), f"no way leads from here to {END}. Add an arrow.")


def _reach(ways: Mapping[str, set[str]], start: set[str]) -> set[str]:
    reached: set[str] = set()
    while start:
        reached |= start
        start = {to for name in start for to in ways.get(name, ())} - reached
    return reached


def _arrows(page: Page, where: Where, arrows: tuple[Arrow, ...], known: Container[str]) -> Iterator[Finding]:
    for position, arrow in enumerate(arrows):
        if arrow.to not in known:
            says = f"leads to {arrow.to}, which is no topic of this dialog. Correct the name."
            yield page.finding((*where, position), says)
        if position and not arrows[position - 1].when:
            says = "is never taken, the arrow above it always is. Put that one last."
            yield page.finding((*where, position), says)
        yield from _guards(page, (*where, position), arrow.when)
    if not arrows or arrows[-1].when:
        yield page.finding(where, "there may be no way on. Let the last arrow have no `when`.")


def _guards(page: Page, where: Where, guards: Iterable[str]) -> Iterator[Finding]:
    for guard in guards:
        if guard not in GUARDS:
            yield page.finding(where, f"{guard} is no guard. Use one of {', '.join(sorted(GUARDS))}.")


def _answers(page: Page, where: Where, question: Question) -> Iterator[Finding]:
    if not question.parts:
        yield page.finding(where, "asks for nothing. Name at least one value.")
    for position, part in enumerate(question.parts):
        if part.answer not in ANSWERS:
            says = f"{part.answer} is no kind of answer. Use one of {', '.join(sorted(ANSWERS))}."
            yield page.finding((*where, position), says)
        if (part.answer == CHOICE) != bool(part.choices):
            says = f"choices belong to the answer {CHOICE}, and to no other. Add them or take them out."
            yield page.finding((*where, position), says)


def _course(page: Page, table: CourseTable) -> Iterator[Finding]:
    yield from _state(page, ("initial",), table, table.initial)
    ways: dict[str, set[str]] = {}
    for position, arrow in enumerate(table.arrows):
        where = ("arrows", position)
        yield from _state(page, (*where, "source"), table, arrow.source)
        yield from _state(page, (*where, "dest"), table, arrow.dest)
        yield from _guards(page, where, arrow.when)
        ways.setdefault(arrow.source, set()).add(arrow.dest)
    reached = _reach(ways, {table.initial})
    for state in table.states:
        if state not in reached:
            yield page.finding(("states",), f"no arrow leads to {state}. Add an arrow, or take it out.")


def _state(page: Page, where: Where, table: CourseTable, state: str) -> Iterator[Finding]:
    if state not in table.states:
        yield page.finding(where, f"{state} is no state of the course. Correct the name.")
