"""The proof-reading of a draft: names that lead nowhere, numbers outside their range, levels and topics out of reach."""

from collections.abc import Iterable, Iterator, Mapping
from math import isfinite
from pathlib import Path
from typing import get_args

from coachbot.core.book import COMMON_PRACTICE, Arrow, CourseTable, Dialog, Ladder, Question, TierName
from coachbot.core.flow import ANSWERS, END, GUARDS
from coachbot.draft import Draft
from coachbot.yamlfile import Finding, Page, Where, read

REQUIRED_GROUPS = ("knee-flexor", "hip-extensor")


def proof(draft: Draft) -> Iterator[Finding]:
    """What is wrong between the files of a draft."""
    yield from _numbers(draft)
    yield from _sources(draft)
    yield from _stages(draft)
    yield from _ladders(draft)
    yield from _tiers(draft)
    for name, dialog in draft.dialogs.items():
        yield from _dialog(draft.pages[f"flow/{name}.yaml"], dialog)
    if draft.course:
        yield from _course(draft.pages["flow/course.yaml"], draft.course)


# ---- numbers and their sources -----------------------------------------------------------------------------------


def _numbers(draft: Draft) -> Iterator[Finding]:
    for key, number in draft.numbers.items():
        page, where = draft.places[key]
        low, high = number.range
        if not (isfinite(low) and isfinite(high) and low <= high):
            says = f"range {low:g} to {high:g} is no range. Write the lower end first, then the upper end."
            yield page.finding((*where, "range"), says)
        elif not number.within:
            says = f"value {number.value:g} is outside its range {low:g} to {high:g}."
            yield _at(page, where, "value", f"{says} Put a value inside the range, or widen the range.")
        yield from _source(draft, page, where, number.source)


def _at(page: Page, where: Where, step: str, says: str) -> Finding:
    """A finding that names the number and points at the line of one of its fields."""
    named = page.finding(where, says)
    return Finding(named.file, page.line((*where, step)), named.says)


def _source(draft: Draft, page: Page, where: Where, source: str) -> Iterator[Finding]:
    if source != COMMON_PRACTICE and source not in draft.sources:
        says = f"source {source} is not in sources.yaml. Add it there, or write {COMMON_PRACTICE}."
        yield _at(page, where, "source", says)


def _sources(draft: Draft) -> Iterator[Finding]:
    for name, ladder in draft.ladders.items():
        yield from _source(draft, draft.pages[f"ladders/{name}.yaml"], (), ladder.source)
    for name, tier in draft.tiers.items():
        yield from _source(draft, draft.pages["programme/tiers.yaml"], (name,), tier.source)
    for name, flag in draft.flags.items():
        yield from _source(draft, draft.pages["programme/flags.yaml"], (name,), flag.source)


# ---- stages, ladders, tiers --------------------------------------------------------------------------------------


def _stages(draft: Draft) -> Iterator[Finding]:
    speed = 0.0
    for position, stage in enumerate(draft.stages):
        page = draft.pages["programme/stages.yaml"]
        if stage.number != position + 1:
            yield page.finding((position, "number"), f"is {stage.number}, but this is stage {position + 1}. Renumber.")
        if not speed < stage.first.value <= stage.last.value:
            says = f"{stage.first.value:g} to {stage.last.value:g} % does not climb from {speed:g} %. Raise it."
            yield page.finding((position, "first"), says)
        speed = stage.last.value


def _ladders(draft: Draft) -> Iterator[Finding]:
    for name, ladder in draft.ladders.items():
        page = draft.pages[f"ladders/{name}.yaml"]
        if ladder.family != name:
            yield page.finding(("family",), f"is {ladder.family}, but the file is {name}.yaml. Use one name.")
        yield from _levels(page, ladder, draft.equipment)
    groups = {ladder.group for ladder in draft.ladders.values() if ladder.required and ladder.levels}
    for group in REQUIRED_GROUPS:
        if group not in groups:
            yield Finding(f"{_root(draft)}ladders", 0, f"no required family of the group {group}. Add one.")


def _root(draft: Draft) -> str:
    return next((page.file.removesuffix(page.name) for page in draft.pages.values()), "")


def _levels(page: Page, ladder: Ladder, equipment: Iterable[str]) -> Iterator[Finding]:
    if not ladder.levels:
        yield page.finding(("levels",), "is empty, so nothing can be trained. Write at least one level.")
    if not ladder.climbs and len(ladder.levels) > 1:
        yield page.finding(("levels", 1), "is never reached, because the ladder does not climb. Set climbs to true.")
    seen: set[str] = set()
    for position, level in enumerate(ladder.levels):
        where: Where = ("levels", position)
        if level.exercise in seen:
            yield page.finding((*where, "exercise"), f"{level.exercise} is a lower level already. Take one out.")
        seen.add(level.exercise)
        if level.reps_low.value > level.reps_high.value:
            yield page.finding((*where, "reps_low"), "is more than reps_high. Write the lower number first.")
        others = level.choice.needs if level.choice else ()
        for thing in sorted({*level.needs, *others}.difference(equipment)):
            says = f"{thing} is not in equipment.yaml, so no athlete can reach this level. Add it there."
            yield page.finding((*where, "needs"), says)


def _tiers(draft: Draft) -> Iterator[Finding]:
    page = draft.pages.get("programme/tiers.yaml")
    for name in get_args(TierName) if page else ():
        tier = draft.tiers.get(name)
        if page and tier is None and name not in page.values:
            yield page.finding((), f"the tier {name} is missing. Add it.")
        elif page and tier and tier.name != name:
            yield page.finding((name, "name"), f"is {tier.name}, but stands under {name}. Use one name.")


# ---- dialogs and the course of a case ----------------------------------------------------------------------------


def _dialog(page: Page, dialog: Dialog) -> Iterator[Finding]:
    if dialog.name != page.stem:
        yield page.finding(("name",), f"is {dialog.name}, but the file is {page.stem}.yaml. Use one name.")
    yield from _arrows(page, ("start",), dialog.start, dialog.questions)
    for name, question in dialog.questions.items():
        yield from _arrows(page, ("questions", name, "then"), question.then, dialog.questions)
        yield from _answers(page, ("questions", name, "parts"), question)
    ways = {name: {arrow.to for arrow in question.then} for name, question in dialog.questions.items()}
    reached = _reach(ways, {arrow.to for arrow in dialog.start})
    for name in dialog.questions:
        if name not in reached:
            yield page.finding(("questions", name), "no arrow leads to this topic. Add an arrow, or take it out.")
        elif END not in _reach(ways, {name}):
            yield page.finding(("questions", name), f"no way leads from here to {END}. Add an arrow.")


def _reach(ways: Mapping[str, set[str]], start: set[str]) -> set[str]:
    reached: set[str] = set()
    while start:
        reached |= start
        start = {to for name in start for to in ways.get(name, ())} - reached
    return reached


def _arrows(page: Page, where: Where, arrows: tuple[Arrow, ...], known: Iterable[str]) -> Iterator[Finding]:
    for position, arrow in enumerate(arrows):
        if arrow.to != END and arrow.to not in known:
            yield page.finding((*where, position), f"leads to {arrow.to}, which is no topic here. Correct the name.")
        if not arrow.when and position + 1 < len(arrows):
            yield page.finding((*where, position + 1), "is never taken: the arrow above has no `when`. Reorder them.")
        yield from _guards(page, (*where, position), arrow.when)
    if not arrows or arrows[-1].when:
        yield page.finding(where, "there may be no way on. Let the last arrow have no `when`.")


def _guards(page: Page, where: Where, guards: Iterable[str]) -> Iterator[Finding]:
    for guard in guards:
        if guard not in GUARDS:
            yield page.finding(where, f"{guard} is no guard. Use one of: {', '.join(sorted(GUARDS))}.")


def _answers(page: Page, where: Where, question: Question) -> Iterator[Finding]:
    if not question.parts:
        yield page.finding(where, "asks for nothing. Name at least one value.")
    for position, part in enumerate(question.parts):
        if part.answer not in ANSWERS:
            says = f"{part.answer} is no kind of answer. Use one of: {', '.join(sorted(ANSWERS))}."
            yield page.finding((*where, position, "answer"), says)
        if (part.answer == "choice") != bool(part.choices):
            yield page.finding((*where, position), "choices belong to the kind choice, and only there. Correct it.")


def _course(page: Page, table: CourseTable) -> Iterator[Finding]:
    states = {*table.states}
    if table.initial not in states:
        yield page.finding(("initial",), f"{table.initial} is no state of the course. Correct the name.")
    ways: dict[str, set[str]] = {}
    for position, arrow in enumerate(table.arrows):
        for end, state in (("source", arrow.source), ("dest", arrow.dest)):
            if state not in states:
                yield page.finding(("arrows", position, end), f"{state} is no state of the course. Correct the name.")
        ways.setdefault(arrow.source, set()).add(arrow.dest)
        yield from _guards(page, ("arrows", position), arrow.when)
    for state in sorted(states - _reach(ways, {table.initial})):
        yield page.finding(("states",), f"no arrow leads to {state}. Add an arrow, or take it out.")


# ---- texts -------------------------------------------------------------------------------------------------------


def texts(draft: Draft, folder: Path) -> Iterator[Finding]:
    """Text keys that the programme uses and a language does not have."""
    wanted = list(_keys(draft))
    for path in sorted(folder.glob("language/*/texts.yaml")):
        name = path.relative_to(folder).as_posix()
        page, findings = read(path, name, f"{folder.name}/{name}")
        yield from findings
        if page:
            yield from (place.finding(at, f"{key} has no text in {page.file}. Write it there.")
                        for place, at, key in wanted if key not in page.values)


def _keys(draft: Draft) -> Iterator[tuple[Page, Where, str]]:
    for name, dialog in draft.dialogs.items():
        page = draft.pages[f"flow/{name}.yaml"]
        yield from ((page, ("questions", key, "ask"), question.ask) for key, question in dialog.questions.items())
    for name, ladder in draft.ladders.items():
        page = draft.pages[f"ladders/{name}.yaml"]
        for position, level in enumerate(ladder.levels):
            exercises = [level.exercise, *([level.choice.exercise] if level.choice else [])]
            yield from ((page, ("levels", position), f"exercise.{exercise}") for exercise in exercises)
    for name, keys in (("equipment", draft.equipment), ("flag", draft.flags), ("tier", draft.tiers)):
        page = draft.pages[f"programme/{name if name == 'equipment' else name + 's'}.yaml"]
        yield from ((page, (key,), f"{name}.{key}") for key in keys)
