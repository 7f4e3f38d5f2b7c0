"""Loads dialogs/language/<lang>/: the words at start, the flag lexicon only when asked; it decides nothing."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from coachbot.core.reading import Language, Policy
from coachbot.core.reading.language import Incomplete

WORDS, FLAGS, WEIGHTS, KNOWN = "words.yaml", "flags.yaml", "weights.bin", "known.txt"
POLICY, MEANING = "policy.yaml", "meaning.bin"
REFERENCE = "en"  # every wording is settled in this language first; another one is complete when it says as much


def folder() -> Path:
    """The dialogs of an installed package, or those of the checkout."""
    inside = Path(__file__).parent / "dialogs"
    return (inside if inside.is_dir() else Path(__file__).parents[1] / "dialogs") / "language"


def load_yaml(path: Path) -> Any:
    """YAML with every scalar as text, so that no, yes and 1.0 stay words."""
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    try:
        return yaml.load(path.read_text("utf-8"), Loader=loader)  # this loader makes only text, lists and maps
    except (OSError, UnicodeDecodeError) as error:
        raise Incomplete(f"{path} cannot be read: {error}.") from error
    except yaml.YAMLError as error:
        raise Incomplete(
            f"{path} cannot be read: {' '.join(str(error).split())}. Check this line and the one above."
        ) from error


def codes(where: Path | None = None) -> tuple[str, ...]:
    """The languages that have a folder with words."""
    return tuple(sorted(path.parent.name for path in (where or folder()).glob(f"*/{WORDS}")))


def offered(where: Path | None = None) -> tuple[str, ...]:
    """The languages an athlete may pick: those that lack nothing."""
    return tuple(code for code in codes(where) if not missing(code, where))


def missing(code: str, where: Path | None = None) -> tuple[str, ...]:
    """What a language lacks before it may be offered: word tables, texts, words of choices and acts.

    A flag lexicon is not asked for: without one any free text leads to the closed question about danger signs.
    """
    place = where or folder()
    try:
        load(code, where)
    except Incomplete as lack:
        return (str(lack),)
    if code == REFERENCE:
        return ()
    return tuple(sorted(_said(place / REFERENCE) - _said(place / code)))


def _said(place: Path) -> set[str]:
    """The names of all that a language folder can say or hear beyond its word tables."""
    texts = {f"{key} in texts" for path in place.glob("texts*.yaml") for key in load_yaml(path)}
    heard = {
        f"{section}.{key} in {path.name}"
        for path in (place / "choices.yaml", place / "acts.yaml") if path.exists()
        for section, table in load_yaml(path).items() for key in table
    }  # fmt: skip
    return texts | heard


@lru_cache
def load(code: str, where: Path | None = None) -> Language:
    """The words of one language, without the flag lexicon; raises Incomplete when a table is missing."""
    return Language.from_data(code, load_yaml((where or folder()) / code / WORDS))


@lru_cache
def load_full(code: str, where: Path | None = None, meaning: bool = False) -> Language:
    """The language with its flag lexicon and learned net, if its folder has them; call before the first message.

    With `meaning` also the net on the meaning of a message; raises Incomplete when its packages are not there.
    """
    place = (where or folder()) / code
    language = replace(load(code, where), policy=policy())
    if not (place / FLAGS).exists():
        return language
    data = load_yaml(place / FLAGS)
    known = (place / KNOWN).read_text("utf-8").split() if (place / KNOWN).exists() else []
    weights = (place / WEIGHTS).read_bytes() if (place / WEIGHTS).exists() else b""
    full = language.with_flags({**data, "known": known}, weights)
    return _with_meaning(full, place / MEANING) if meaning and (place / MEANING).exists() else full


def _with_meaning(language: Language, path: Path) -> Language:
    from coachbot.meaning import sense  # with its packages, only when it is switched on

    assert language.lexicon is not None
    return replace(language, lexicon=replace(language.lexicon, sense=sense(path.read_bytes())))


@lru_cache
def policy() -> Policy:
    """The one table of what a reading leads to."""
    return Policy.from_data(load_yaml(folder() / POLICY))
