"""What is wrong with numbers and what hangs on them: ranges, sources, stages, ladders out of reach, tiers."""

from collections.abc import Iterator
from math import isfinite
from typing import get_args

from coachbot.core.book import COMMON_PRACTICE, Ladder, Level, Sourced, TierName
from coachbot.handbook.draft import Draft
from coachbot.handbook.yamlfile import Finding, Page, Where

REQUIRED_GROUPS = ("knee-flexor", "hip-extensor")


def findings(draft: Draft) -> Iterator[Finding]:
    """What is wrong between the files of the programme and the ladders."""
    for key, number in draft.numbers.items():
        yield from _number(*draft.places[key], number)
    yield from _sources(draft)
    yield from _stages(draft)
    for name, ladder in draft.ladders.items():
        yield from _ladder(draft, draft.pages[f"ladders/{name}.yaml"], ladder)
    yield from _groups(draft)
    yield from _tiers(draft)


def _number(page: Page, where: Where, number: Sourced) -> Iterator[Finding]:
    low, high = number.range
    if not (isfinite(low) and isfinite(high) and low <= high):
        says = f"range {low:g} to {high:g} is no range. Write the lower end first, then the upper end."
        yield page.finding(where, says, "range")
    elif not number.within:
        says = f"value {number.value:g} is outside its range {low:g} to {high:g}."
        yield page.finding(where, f"{says} Put a value inside the range, or widen the range.", "value")


def _sources(draft: Draft) -> Iterator[Finding]:
    for page, where, source in _named(draft):
        if source != COMMON_PRACTICE and source not in draft.sources:
            says = f"source {source} is in no sources file. Add it there, or write {COMMON_PRACTICE}."
            yield page.finding(where, says, "source")


def _named(draft: Draft) -> Iterator[tuple[Page, Where, str]]:
    """Every mention of a source."""
    for key, number in draft.numbers.items():
        yield *draft.places[key], number.source
    for name, ladder in draft.ladders.items():
        yield draft.pages[f"ladders/{name}.yaml"], (), ladder.source
    for name, tier in draft.tiers.items():
        yield draft.pages["programme/tiers.yaml"], (name,), tier.source
    for name, flag in draft.flags.items():
        yield draft.pages["programme/flags.yaml"], (name,), flag.source


def _stages(draft: Draft) -> Iterator[Finding]:
    speed = 0.0
    for position, stage in enumerate(draft.stages):
        page, number = draft.pages["programme/stages.yaml"], position + 1
        if stage.number != number:
            says = f"is {stage.number}, but this is stage {number}. Number them in order."
            yield page.finding((position, "number"), says)
        if not speed < stage.first.value <= stage.last.value:
            says = f"{stage.first.value:g} to {stage.last.value:g} % does not climb from {speed:g} %. Raise it."
            yield page.finding((position,), says, "first")
        speed = stage.last.value


def _ladder(draft: Draft, page: Page, ladder: Ladder) -> Iterator[Finding]:
    if ladder.family != page.stem:
        yield page.finding(("family",), f"is {ladder.family}, but the file is {page.stem}. Use one name.")
    if not ladder.levels:
        yield page.finding(("levels",), "is empty, so nothing can be trained. Write at least one level.")
    if not ladder.climbs and len(ladder.levels) > 1:
        yield page.finding(("levels", 1), "cannot be reached, the ladder does not climb. Set climbs to true.")
    for position, level in enumerate(ladder.levels):
        where: Where = ("levels", position)
        if level.exercise in {lower.exercise for lower in ladder.levels[:position]}:
            yield page.finding(where, f"{level.exercise} is a lower level already. Take one out.", "exercise")
        if level.reps_low.value > level.reps_high.value:
            yield page.finding(where, "reps_low is more than reps_high. Swap the two.", "reps_low")
        for thing in sorted(_needs(level).difference(draft.equipment)):
            says = f"{thing} is not in equipment.yaml, so no athlete reaches this level. Add it there."
            yield page.finding(where, says, "needs")


def _needs(level: Level) -> set[str]:
    return {*level.needs, *(level.choice.needs if level.choice else ())}


def _groups(draft: Draft) -> Iterator[Finding]:
    groups = {ladder.group for ladder in draft.ladders.values() if ladder.required and ladder.levels}
    for group in REQUIRED_GROUPS:
        if group not in groups:
            yield Finding(f"{draft.folder}/ladders", 0, f"no family is required of the group {group}. Add one.")


def _tiers(draft: Draft) -> Iterator[Finding]:
    page = draft.pages.get("programme/tiers.yaml")
    for name in get_args(TierName) if page else ():
        tier = draft.tiers.get(name)
        if page and name not in page.values:
            yield page.finding((), f"the tier {name} is missing. Add it.")
        if page and tier and tier.name != name:
            yield page.finding((name,), f"its name is {tier.name}. Use one name.", "name")
