"""The door to ``dialogs/``: the checked, frozen handbook, or a list of what is wrong with file and line."""

from pathlib import Path
from types import MappingProxyType

from coachbot.core.book import Handbook, Programme
from coachbot.draft import Draft, draft
from coachbot.proof import proof, texts
from coachbot.yamlfile import Finding


class HandbookError(Exception):
    """The handbook cannot be used. The message lists every finding, one a line."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__("\n".join(map(str, findings)))
        self.findings = tuple(findings)


def home() -> Path:
    """The folder ``dialogs/``: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).parent
    inside = package / "dialogs"
    return inside if inside.is_dir() else package.parent / "dialogs"


def load(folder: Path | None = None) -> Handbook:
    """The handbook in `folder` (default: the shipped one). Raises HandbookError when anything is wrong."""
    read, findings = _read(folder or home())
    if findings:
        raise HandbookError(findings)
    return _bound(read)


def check(folder: Path | None = None) -> list[Finding]:
    """Everything that is wrong in `folder`, the texts of every language included; empty when all is well."""
    place = folder or home()
    read, findings = _read(place)
    return [*findings, *texts(read, place)]


def _read(folder: Path) -> tuple[Draft, list[Finding]]:
    if not folder.is_dir():
        return Draft(), [Finding(str(folder), 0, "is no folder. Name the folder that holds the programme.")]
    read = draft(folder)
    return read, [*read.findings, *proof(read)]


def _bound(read: Draft) -> Handbook:
    assert read.course is not None
    return Handbook(
        version=read.version,
        programme=Programme.model_construct(**read.parts),
        numbers=MappingProxyType(read.numbers),
        stages=tuple(read.stages),
        ladders=MappingProxyType(read.ladders),
        equipment=tuple(read.equipment),
        tiers=MappingProxyType(read.tiers),
        flags=MappingProxyType(read.flags),
        sources=MappingProxyType(read.sources),
        dialogs=MappingProxyType(read.dialogs),
        course=read.course,
    )
