"""The sentences and the choice words of every language that has them; `wording` says which are missing."""

from collections.abc import Mapping
from pathlib import Path

import yaml

from coachbot.core.speak import Texts
from coachbot.handbook.yamlfile import LOADER


def load(folder: Path) -> Mapping[str, Texts]:
    """The texts by language, for every folder of ``language/`` that holds ``texts.yaml``."""
    return {path.parent.name: _one(path.parent) for path in sorted(folder.glob("language/*/texts.yaml"))}


def _one(place: Path) -> Texts:
    entries = {key: entry for path in sorted(place.glob("texts*.yaml")) for key, entry in _read(path).items()}
    tables = (_phrases(place / "choices.yaml"), _phrases(place / "acts.yaml"))
    return Texts(place.name, entries, *tables, _cities(place / "cities.yaml"))


def _cities(path: Path) -> dict[str, str]:
    """Time zones by city; none where the language names no more than the database does."""
    return {city: zone for zone, cities in (_read(path) if path.exists() else {}).items() for city in cities}


def _phrases(path: Path) -> dict[str, dict[str, tuple[str, ...]]]:
    """Phrases by section and meaning; none where the language has no such file."""
    tables = _read(path) if path.exists() else {}
    return {section: {key: tuple(said) for key, said in table.items()} for section, table in tables.items()}


def _read(path: Path) -> dict:  # type: ignore[type-arg]
    return yaml.load(path.read_text("utf-8"), Loader=LOADER) or {}  # a loader that makes text, lists and maps only
