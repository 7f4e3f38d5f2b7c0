"""Conversations written down: reads a file into its entries and writes it back; it plays nothing (that is `replay`).

A conversation file begins with front matter between two lines of dashes, then has a heading for each day and one
entry for each arrival; what the coach says stands indented below it, and is only left out on a day told briefly:

    == Monday 2 March 2026, briefly ==

    18:00 Sam: hello

    == Tuesday 3 March 2026 ==

    08:00 (clock)
        to Sam: How much does your left leg hurt when you walk this morning? ...
    08:02 Sam: 2 no
        to Sam: Walking pain: 2 of 10.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import yaml

CLOCK = "(clock)"
NEEDED = ("title", "shows", "athlete", "clinician", "zone")
"""What the front matter must say; `clinician` may be several names, the first of whom is called first."""
INDENT = "    "
_DAY = re.compile(r"== (?:\w+ )?(\d{1,2} \w+ \d{4})(, briefly)? ==")
_ENTRY = re.compile(r"(\d\d:\d\d) (?:\((clock)\)|([^:]+): ?(.*))")
_ISO = re.compile(r"\d{4}-\d\d-\d\d")


class ScriptError(Exception):
    """A conversation file that cannot be read; the message says where and what to write instead."""


@dataclass(frozen=True)
class Entry:
    """One arrival: who said what (None: the clock) on which local day and time; `brief` hides the replies."""

    day: date
    hour: time
    who: str | None
    text: str
    brief: bool = False

    def at(self, zone: str) -> datetime:
        """The instant of the entry."""
        return datetime.combine(self.day, self.hour, ZoneInfo(zone)).astimezone(UTC)

    def __str__(self) -> str:
        return f"{self.hour:%H:%M} " + (CLOCK if self.who is None else f"{self.who}: {self.text}")


@dataclass(frozen=True)
class Told:
    """What the coach says, and to whom by name."""

    to: str
    text: str


@dataclass(frozen=True)
class Conversation:
    """A whole file: its front matter and its entries in order."""

    front: dict[str, str]
    entries: tuple[Entry, ...]

    @property
    def athlete(self) -> str:
        """The athlete's name."""
        return self.front["athlete"]

    @property
    def clinicians(self) -> tuple[str, ...]:
        """The clinicians in the order in which they are called."""
        return tuple(name.strip() for name in self.front["clinician"].split(","))

    @property
    def last_day(self) -> date:
        """The day of the last entry."""
        return self.entries[-1].day

    @property
    def brief_days(self) -> frozenset[date]:
        """The days whose replies are not written."""
        return frozenset(entry.day for entry in self.entries if entry.brief)

    def moved(self, days: int) -> "Conversation":
        """The same conversation some days later; ISO dates that people write in it move along."""
        later = timedelta(days=days)
        entries = (replace(e, day=e.day + later, text=_moved(e.text, later)) for e in self.entries)
        return Conversation(self.front, tuple(entries))


def _moved(text: str, later: timedelta) -> str:
    return _ISO.sub(lambda found: (date.fromisoformat(found[0]) + later).isoformat(), text)


def read(path: Path) -> Conversation:
    """The conversation in a file. Raises ScriptError with the line that is not understood."""
    try:
        text = path.read_text("utf-8")
    except OSError as error:
        raise ScriptError(f"{path} cannot be read: {error.strerror}. Name a conversation file.") from error
    front, closed, body = text.removeprefix("---\n").partition("\n---\n")
    if not text.startswith("---\n") or not closed:
        raise ScriptError(f"{path}: the front matter between two lines of --- is missing.")
    first = (text.removesuffix(body)).count("\n") + 1
    conversation = Conversation(_front(path, front), tuple(_entries(path, body, first)))
    _check(path, conversation)
    return conversation


def _front(path: Path, text: str) -> dict[str, str]:
    try:
        front = yaml.load(text, Loader=yaml.BaseLoader)
    except yaml.YAMLError as error:
        raise ScriptError(f"{path}: the front matter is no YAML: {error}") from error
    missing = [key for key in NEEDED if not isinstance(front, dict) or not front.get(key)]
    if missing:
        raise ScriptError(f"{path}: the front matter lacks {', '.join(missing)}.")
    return dict(front)


def _entries(path: Path, body: str, first: int) -> Iterator[Entry]:
    day: date | None = None
    brief = False
    for number, line in enumerate(body.splitlines(), first):
        try:
            if heading := _DAY.fullmatch(line.strip()):
                day, brief = datetime.strptime(heading[1], "%d %B %Y").date(), bool(heading[2])
            elif line.strip() and not line.startswith(" "):
                yield _entry(line, day, brief)
        except ValueError as error:
            raise ScriptError(f"{path}:{number}: not understood: {line!r} ({error}).") from error


def _entry(line: str, day: date | None, brief: bool) -> Entry:
    found = _ENTRY.fullmatch(line)
    if found is None or day is None:
        raise ValueError("write 'HH:MM Name: words' below a day such as == Monday 2 March 2026 ==")
    return Entry(day, time.fromisoformat(found[1]), None if found[2] else found[3], found[4] or "", brief)


def _check(path: Path, conversation: Conversation) -> None:
    if not conversation.entries:
        raise ScriptError(f"{path}: nobody says anything in it.")
    known = {None, conversation.athlete, *conversation.clinicians}
    for before, entry in zip((None, *conversation.entries), conversation.entries, strict=False):
        if entry.who not in known:
            raise ScriptError(f"{path}: {entry.who} is neither the athlete nor a clinician of the front matter.")
        if before and (entry.day, entry.hour) < (before.day, before.hour):
            raise ScriptError(f"{path}: '{entry}' on {entry.day:%d %B} comes after a later entry.")


def written(conversation: Conversation, said: Iterable[tuple[Entry, list[Told]]]) -> str:
    """The conversation as a file, with what the coach says to each entry."""
    front = yaml.safe_dump(conversation.front, sort_keys=False, allow_unicode=True, width=100).strip()
    lines = ["---", front, "---"]
    day = None
    for entry, messages in said:
        if entry.day != day:
            day = entry.day
            lines += ["", f"== {day:%A} {day.day} {day:%B %Y}{', briefly' if entry.brief else ''} =="]
            lines += [] if entry.brief else [""]
        if entry.who or not entry.brief:
            lines += [str(entry), *([] if entry.brief else spoken(messages))]
    return "\n".join(lines) + "\n"


def spoken(messages: Iterable[Told]) -> Iterator[str]:
    """What the coach says, as indented lines that name whom it is said to."""
    for message in messages:
        first, *more = message.text.splitlines()
        yield f"{INDENT}to {message.to}: {first}"
        yield from (f"{INDENT}{INDENT}{line}" for line in more)
