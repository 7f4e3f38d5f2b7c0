"""The door to ``dialogs/``: the checked, frozen handbook, or a list of what is wrong with file and line."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import yaml

from coachbot.core.book import Handbook, Programme
from coachbot.core.speak import Texts
from coachbot.handbook import numbers, rights, texts, topics, wording
from coachbot.handbook.draft import Draft, draft
from coachbot.handbook.yamlfile import Finding, read

PACKAGE = Path(__file__).parents[1]


class HandbookError(Exception):
    """The handbook cannot be used. The message lists every finding, one a line."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__("\n".join(map(str, findings)))
        self.findings = tuple(findings)


def home() -> Path:
    """The folder ``dialogs/``: inside the installed package, or beside it in a checkout."""
    inside = PACKAGE / "dialogs"
    return inside if inside.is_dir() else PACKAGE.parent / "dialogs"


def load(folder: Path | None = None) -> Handbook:
    """The handbook in `folder` (default: the shipped one). Raises HandbookError when anything is wrong."""
    new, findings = _proofread(folder or home())
    if findings:
        raise HandbookError(findings)
    return _bound(new, _spoken(folder or home()))


def check(folder: Path | None = None) -> list[Finding]:
    """Everything that is wrong in `folder`, texts of all languages included; empty when all is well."""
    place = folder or home()
    new, findings = _proofread(place)
    return [*findings, *wording.findings(new, place)]


def _proofread(folder: Path) -> tuple[Draft, list[Finding]]:
    new = draft(folder)
    return new, [*new.findings, *numbers.findings(new), *topics.findings(new), *rights.findings(new)]


def _spoken(folder: Path) -> Mapping[str, Texts]:
    try:
        return texts.load(folder)
    except yaml.YAMLError:
        pages = {path: path.relative_to(folder.parent).as_posix() for path in folder.glob("language/*/*.yaml")}
        raise HandbookError([each for path in sorted(pages) for each in read(path, pages[path])[1]]) from None


def _bound(new: Draft, spoken: Mapping[str, Texts]) -> Handbook:
    assert new.course is not None  # its file is needed, and a draft without it has a finding
    return Handbook(
        version=new.version,
        programme=Programme.model_construct(**new.parts),
        numbers=MappingProxyType(new.numbers),
        stages=tuple(new.stages),
        ladders=MappingProxyType(new.ladders),
        equipment=tuple(new.equipment),
        tiers=MappingProxyType(new.tiers),
        flags=MappingProxyType(new.flags),
        sources=MappingProxyType(new.sources),
        dialogs=MappingProxyType(new.dialogs),
        course=new.course,
        rights=MappingProxyType(new.rights),
        texts=spoken,
    )
