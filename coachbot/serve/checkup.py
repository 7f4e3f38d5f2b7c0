"""What the doctor looks at on this machine, without network and without any optional extra; it changes nothing."""

import importlib
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import coachbot
from coachbot import meaning
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal, JournalError
from coachbot.serve.config import Config
from coachbot.serve.people import People

OTHERS = stat.S_IRWXG | stat.S_IRWXO
EXTRAS = {
    "matrix": (("nio", "vodozemac"), "the coach cannot talk in Matrix"),
    "report": (("matplotlib", "scipy"), "no picture of the last weeks can be drawn, words are said instead"),
}
"""The optional extras: what must be importable, and what does not work without it."""


@dataclass(frozen=True)
class Finding:
    """What was looked at, what was seen, and what to do; nothing when it is well."""

    what: str
    seen: str
    todo: str = ""

    @property
    def well(self) -> bool:
        """Whether there is nothing to do."""
        return not self.todo

    @property
    def said(self) -> str:
        """All of it in one line."""
        return f"{self.seen} {self.todo}".strip()

    def __str__(self) -> str:
        return f"{'ok  ' if self.well else 'FIX '} {self.what}: {self.said}"


def examine(config: Config) -> list[Finding]:
    """The extras, the settings, the database, who stands on lists, taps, and reading by meaning."""
    settings = Finding("settings", f"{len(config.clinicians)} on the on-call list, zone {config.zone}.")
    return [*extras(), settings, *_database(config), *_departed(config), _taps(config), _meaning(config)]


def extras() -> Iterator[Finding]:
    """Each optional extra, whether it is installed, and what is lacking without it."""
    for name, (modules, without) in EXTRAS.items():
        lacking = [module for module in modules if not _importable(module)]
        if lacking:
            todo = f"Run: pip install 'coachbot[{name}]'"
            yield Finding(f"extra {name}", f"{', '.join(lacking)} cannot be loaded, so {without}.", todo)
        else:
            yield Finding(f"extra {name}", "installed.")


def private(what: str, path: Path) -> Iterator[Finding]:
    """A finding when other accounts of this machine can read the file."""
    if path.stat().st_mode & OTHERS:
        yield Finding(what, f"others can read {path}.", f"Run: chmod 600 {path}")


def _importable(module: str) -> bool:
    try:
        importlib.import_module(module)
    except ImportError:
        return False
    return True


def _database(config: Config) -> Iterator[Finding]:
    if not config.store.exists():
        there = config.store.parent.is_dir()
        todo = "" if there else f"Make its folder: mkdir -p {config.store.parent}"
        yield Finding("database", f"{config.store} is made at the first start.", todo)
        return
    yield from private("database", config.store)
    try:
        journal = Journal.open(config.store)
    except JournalError as error:
        yield Finding("database", str(error), "Until then the coach cannot start.")
        return
    wrong = journal.verify()
    unsaid = len(journal.unsent([*(person.id for person in journal.people()), CLINICIANS, TEAM]))
    journal.close()
    if wrong:
        yield Finding("database", " ".join(wrong), "Stop the coach, keep the file, and go on with the latest backup.")
    else:
        yield Finding("database", f"every fact stands as it was written, {unsaid} unsaid.")


def _departed(config: Config) -> Iterator[Finding]:
    """Clinicians who are not in the settings and still on the list of a case."""
    if not config.store.exists():
        return
    try:
        coach = coachbot.open(config.store)
    except JournalError:
        return  # said above
    people = People(coach, config)
    here = next((person.name for person in people.clinicians()), config.clinicians[0])
    for who, names in people.departed().items():
        todo = f"A clinician or the owner writes for each of them, like: hand {names[0]} to {here}"
        seen = f"not in the settings, but on the list of {', '.join(names)}. Alerts pass {who} by."
        yield Finding(f"clinician {who}", seen, todo)
    coach.journal.close()


def _taps(config: Config) -> Finding:
    if not config.taps:
        return Finding("taps", "off: pain scores are never seen by the homeserver.")
    return Finding("taps", "on: a reaction is never encrypted, so the homeserver sees each. Only for one of yours.")


def _meaning(config: Config) -> Finding:
    """It is off unless a clinic wants it, so that it is off is well, and so is it that its packages are not there."""
    missing = meaning.lacking()
    if not config.meaning:
        step = f"run {meaning.GET.removeprefix('Run: ')} and " if missing else ""
        seen = "off: danger signs told in unusual words are missed a little more often."
        return Finding("meaning", f"{seen} To switch it on: {step}write meaning = true in the settings.")
    if missing:
        seen = f"on in the settings, but the coach cannot start with it: no {', '.join(missing)}."
        return Finding("meaning", seen, f"{meaning.GET}, or write meaning = false.")
    return Finding("meaning", "on: what a message means can make the coach ask. No message leaves this machine for it.")
