"""The files of ``dialogs/`` as typed values, with the findings of each file; it compares no file with another."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from coachbot.core.book import CourseTable, Dialog, Flag, Ladder, Programme, Source, Sourced, Stage, Tier
from coachbot.yamlfile import Finding, Page, Where, read

PLACES = ("sources*.yaml", "programme/*.yaml", "ladders/*.yaml", "flow/*.yaml")
PARTS: dict[str, Any] = {name: field.annotation for name, field in Programme.model_fields.items()}
NEEDED = (
    "sources.yaml",
    *(f"programme/{name}.yaml" for name in (*PARTS, "stages", "tiers", "flags", "equipment")),
    "flow/course.yaml",
)
NUMBER = {"value", "range"}  # what makes a group of values a number
VERSION_LENGTH = 12

# What pydantic says, in words for the person who edits the file.
SAYS = {
    "missing": "is missing. Add it.",
    "extra_forbidden": "is not known here. Check the spelling, or take it out.",
    "float_parsing": "{given} is not a number. Write digits, such as 4 or 2.5.",
    "float_type": "has no number. Write digits, such as 4 or 2.5.",
    "int_parsing": "{given} is not a whole number. Write digits, such as 4.",
    "bool_parsing": "{given} is neither true nor false. Write one of the two.",
    "string_type": "has no text. Write some.",
    "literal_error": "{given} is not one of {expected}. Write one of these.",
    "model_type": "holds one value where a group of named values belongs. Compare it with its neighbours.",
    "tuple_type": "is not a list. Write it in square brackets.",
    "dict_type": "is not a group of named values. Compare it with its neighbours.",
    "too_long": "has too many values. Take the last ones out.",
}

Model = TypeVar("Model", bound=BaseModel)


@dataclass
class Draft:
    """What could be read so far; `places` says where each number stands."""

    pages: dict[str, Page] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    places: dict[str, tuple[Page, Where]] = field(default_factory=dict)
    numbers: dict[str, Sourced] = field(default_factory=dict)
    parts: dict[str, BaseModel] = field(default_factory=dict)
    stages: list[Stage] = field(default_factory=list)
    ladders: dict[str, Ladder] = field(default_factory=dict)
    equipment: list[str] = field(default_factory=list)
    tiers: dict[str, Tier] = field(default_factory=dict)
    flags: dict[str, Flag] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    dialogs: dict[str, Dialog] = field(default_factory=dict)
    course: CourseTable | None = None

    @property
    def version(self) -> str:
        """A short name of exactly this content."""
        digest = sha256()
        for name, page in self.pages.items():
            digest.update(b"%s\0%d\0%s" % (name.encode(), len(page.raw), page.raw))
        return digest.hexdigest()[:VERSION_LENGTH]


def draft(folder: Path) -> Draft:
    """Everything in `folder`, as far as it can be read."""
    new = Draft()
    for path in _files(folder):
        name = path.relative_to(folder).as_posix()
        page, findings = read(path, name, f"{folder.name}/{name}")
        new.findings += findings
        if page:
            new.pages[name] = page
            _take(new, page)
    missing = [name for name in NEEDED if not (folder / name).exists()]
    new.findings += [Finding(f"{folder.name}/{name}", 0, "is missing. Put the file back.") for name in missing]
    return new


def _files(folder: Path) -> Iterator[Path]:
    for place in PLACES:
        yield from sorted(folder.glob(place))


def _take(new: Draft, page: Page) -> None:
    match page.name.removesuffix(".yaml").split("/"):
        case ["programme", "stages"]:
            new.stages += [stage for _, stage in _each(new, page, Stage, list)]
        case ["programme", "tiers"]:
            new.tiers.update(_each(new, page, Tier, dict))
        case ["programme", "flags"]:
            new.flags.update(_each(new, page, Flag, dict))
        case ["programme", "equipment"]:
            new.equipment += _words(new, page)
        case ["programme", part] if part in PARTS:
            new.parts.update((part, made) for made in _one(new, page, PARTS[part]))
        case ["programme", _]:
            new.numbers.update((made.key, made) for _, made in _each(new, page, Sourced, dict))
        case ["ladders", family]:
            new.ladders.update((family, made) for made in _one(new, page, Ladder))
        case ["flow", "course"]:
            new.course = next(_one(new, page, CourseTable), None)
        case ["flow", dialog]:
            new.dialogs.update((dialog, made) for made in _one(new, page, Dialog))
        case _:
            new.sources.update(_fresh(new, page))


def _one(new: Draft, page: Page, model: type[Model], where: Where = ()) -> Iterator[Model]:
    value = page.values
    for step in where:
        value = value[step]
    _address(new, page, value, where)
    try:
        made = model.model_validate(value)
    except ValidationError as error:
        new.findings += [page.finding((*where, *one["loc"]), _says(one)) for one in error.errors()]
    else:
        new.numbers.update((number.key, number) for number in _numbers(made))
        yield made


def _each(
    new: Draft, page: Page, model: type[Model], kind: type[dict[Any, Any]] | type[list[Any]]
) -> Iterator[tuple[Any, Model]]:
    if not isinstance(page.values, kind):
        form = "a list, each entry after a dash" if kind is list else "entries by name"
        new.findings.append(page.finding((), f"the file must hold {form}."))
        return
    keys = page.values if isinstance(page.values, dict) else range(len(page.values))
    for key in keys:
        yield from ((key, made) for made in _one(new, page, model, (key,)))


def _words(new: Draft, page: Page) -> list[str]:
    if isinstance(page.values, list) and all(isinstance(word, str) for word in page.values):
        return page.values
    new.findings.append(page.finding((), "the file must hold a list of words, each after a dash."))
    return []


def _fresh(new: Draft, page: Page) -> Iterator[tuple[str, Source]]:
    for key, source in _each(new, page, Source, dict):
        if key in new.sources:
            new.findings.append(page.finding((key,), "another file has this source too. Keep one of the two."))
        yield key, source


def _says(error: Any) -> str:
    pattern = SAYS.get(error["type"], error["msg"].replace("{", "(").replace("}", ")") + ".")
    return pattern.format(given=error["input"], expected=error.get("ctx", {}).get("expected"))


def _address(new: Draft, page: Page, value: Any, where: Where) -> None:
    """Write the address of every number (``pain.limit``) into it, and note where it stands."""
    if isinstance(value, list):
        for position, item in enumerate(value):
            _address(new, page, item, (*where, position))
    elif isinstance(value, dict) and NUMBER <= value.keys():
        _name(new, page, value, where)
    elif isinstance(value, dict):
        for key, item in value.items():
            _address(new, page, item, (*where, key))


def _name(new: Draft, page: Page, value: dict[str, Any], where: Where) -> None:
    if "key" in value:
        new.findings.append(page.finding((*where, "key"), SAYS["extra_forbidden"]))
    steps = (str(step + 1) if isinstance(step, int) else step for step in where)
    value["key"] = ".".join((page.stem, *steps))
    new.places[value["key"]] = page, where


def _numbers(thing: object) -> Iterator[Sourced]:
    match thing:
        case Sourced():
            yield thing
        case BaseModel():
            for value in vars(thing).values():
                yield from _numbers(value)
        case tuple():
            for value in thing:
                yield from _numbers(value)
