"""The files of ``dialogs/`` as typed values, with the findings of each file; no file is compared with another."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from coachbot.core.book import CourseTable, Dialog, Flag, Ladder, Programme, Source, Sourced, Stage, Tier
from coachbot.handbook.yamlfile import Finding, Page, Where, read, shown

PLACES = ("sources*.yaml", "programme/*.yaml", "ladders/*.yaml", "flow/*.yaml")
PARTS: dict[str, Any] = {name: info.annotation for name, info in Programme.model_fields.items()}
NEEDED = (
    "sources.yaml",
    *(f"programme/{name}.yaml" for name in (*PARTS, "stages", "tiers", "flags", "equipment", "rights")),
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
    "model_type": "must be a group of named values. Compare it with its neighbours.",
    "dict_type": "must be a group of named values. Compare it with its neighbours.",
    "tuple_type": "must be a list. Write it in square brackets.",
    "too_long": "has too many values. Take the last ones out.",
}
OTHERWISE = "{given} does not belong here. Compare it with its neighbours."

Model = TypeVar("Model", bound=BaseModel)


@dataclass
class Draft:
    """What could be read so far: pages by name inside `folder`, and for each number where it stands."""

    folder: str
    pages: dict[str, Page] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    places: dict[str, tuple[Page, Where]] = field(default_factory=dict)
    numbers: dict[str, Sourced] = field(default_factory=dict)
    parts: dict[str, Any] = field(default_factory=dict)
    stages: list[Stage] = field(default_factory=list)
    ladders: dict[str, Ladder] = field(default_factory=dict)
    equipment: list[str] = field(default_factory=list)
    tiers: dict[str, Tier] = field(default_factory=dict)
    flags: dict[str, Flag] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    dialogs: dict[str, Dialog] = field(default_factory=dict)
    course: CourseTable | None = None
    rights: dict[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def version(self) -> str:
        """A short name of exactly this content."""
        digest = sha256()
        for name, page in self.pages.items():
            digest.update(b"%s %d\n%s" % (name.encode(), len(page.raw), page.raw))
        return digest.hexdigest()[:VERSION_LENGTH]


def draft(folder: Path) -> Draft:
    """Everything in `folder`, as far as it can be read."""
    new = Draft(folder.name)
    for path in (path for place in PLACES for path in sorted(folder.glob(place))):
        name = path.relative_to(folder).as_posix()
        page, findings = read(path, f"{folder.name}/{name}")
        new.findings += findings
        if page:
            new.pages[name] = page
            _take(new, name, page)
    missing = (f"{folder.name}/{name}" for name in NEEDED if not (folder / name).exists())
    new.findings += [Finding(name, 0, "the file is missing. Put it back.") for name in missing]
    return new


def _take(new: Draft, name: str, page: Page) -> None:
    match name.removesuffix(".yaml").split("/"):
        case ["programme", "stages"]:
            new.stages += [stage for _, stage in _each(new, page, Stage, list)]
        case ["programme", "tiers"]:
            new.tiers.update(_each(new, page, Tier, dict))
        case ["programme", "flags"]:
            new.flags.update(_each(new, page, Flag, dict))
        case ["programme", "equipment"]:
            new.equipment += _words(new, page)
        case ["programme", "rights"]:
            new.rights.update(_lists(new, page))
        case ["programme", part] if part in PARTS:
            new.parts.update(_one(new, page, PARTS[part]))
        case ["programme", _]:
            list(_each(new, page, Sourced, dict))  # kept with all other numbers as they are made
        case ["ladders", _]:
            new.ladders.update(_one(new, page, Ladder))
        case ["flow", "course"]:
            new.course = dict(_one(new, page, CourseTable)).get(page.stem)
        case ["flow", _]:
            new.dialogs.update(_one(new, page, Dialog))
        case _:
            new.sources.update(_fresh(new, page))


# ---- values to models --------------------------------------------------------------------------------------------


def _one(new: Draft, page: Page, model: type[Model]) -> Iterator[tuple[str, Model]]:
    """The whole page as one model, by the name of its file; nothing when it is wrong."""
    yield from ((page.stem, made) for made in _made(new, page, model, page.values, ()))


def _each(new: Draft, page: Page, model: type[Model], kind: type) -> Iterator[tuple[Any, Model]]:
    """Every entry of a page, a dict or a list by `kind`, as a model; those that are wrong are left out."""
    if not isinstance(page.values, kind):
        form = "a list, each entry after a dash" if kind is list else "entries, each under its name"
        new.findings.append(page.finding((), f"the file must hold {form}."))
        return
    for key, value in _inside(page.values):
        yield from ((key, made) for made in _made(new, page, model, value, (key,)))


def _made(new: Draft, page: Page, model: type[Model], value: Any, where: Where) -> Iterator[Model]:
    _address(new, page, value, where)
    try:
        made = model.model_validate(value)
    except ValidationError as error:
        new.findings += [page.finding((*where, *one["loc"]), _says(one)) for one in error.errors()]
    else:
        new.numbers.update((number.key, number) for number in _numbers(made))
        yield made


def _says(error: Any) -> str:
    expected = error.get("ctx", {}).get("expected")
    return SAYS.get(error["type"], OTHERWISE).format(given=error["input"], expected=expected)


def _words(new: Draft, page: Page) -> list[str]:
    if isinstance(page.values, list) and all(isinstance(word, str) for word in page.values):
        return page.values
    new.findings.append(page.finding((), "the file must hold a list of words, each after a dash."))
    return []


def _lists(new: Draft, page: Page) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A list of words for each entry."""
    entries = page.values.items() if isinstance(page.values, dict) else ()
    for key, value in entries:
        if isinstance(value, list) and all(isinstance(word, str) for word in value):
            yield key, tuple(value)
        else:
            new.findings.append(page.finding((key,), SAYS["tuple_type"]))


def _fresh(new: Draft, page: Page) -> Iterator[tuple[str, Source]]:
    for key, source in _each(new, page, Source, dict):
        if key in new.sources:
            new.findings.append(page.finding((key,), "stands in another file too. Keep one of the two."))
        yield key, source


# ---- numbers and their addresses ---------------------------------------------------------------------------------


def _address(new: Draft, page: Page, value: Any, where: Where) -> None:
    """Write its address (``pain.limit``) into every number, and note where it stands."""
    if isinstance(value, dict) and value.keys() >= NUMBER:
        if "key" in value:
            new.findings.append(page.finding((*where, "key"), SAYS["extra_forbidden"]))
        value["key"] = ".".join((page.stem, *shown(where)))
        new.places[value["key"]] = page, where
        return
    for step, item in _inside(value):
        _address(new, page, item, (*where, step))


def _inside(value: Any) -> Iterable[tuple[str | int, Any]]:
    match value:
        case dict():
            return value.items()
        case list():
            return enumerate(value)
    return ()


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
