"""Conversations written down: reads, plays and compares them; documentation and test in one, and no rule of its own.

A conversation file begins with front matter between two lines of dashes, then has a heading for each day and one
entry for each arrival; what the coach says stands indented below it:

    == Monday 2 March 2026 ==

    08:00 (clock)
        to Sam: Good morning Sam. ...
    08:02 Sam: 2 no
        to Sam: Got it: walking 2 of 10.
"""

import difflib
import json
import re
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import yaml

from coachbot import handbook
from coachbot.coach import Coach
from coachbot.core.events import dump
from coachbot.journal import Journal, Message

CLOCK = "(clock)"
_DAY = re.compile(r"== (?:\w+ )?(\d{1,2} \w+ \d{4}) ==")
_ENTRY = re.compile(r"(\d\d):(\d\d) (?:\((clock)\)|([^:]+): ?(.*))")
_INDENT = "    "


class ScriptError(Exception):
    """A conversation file that cannot be read; the message says where."""


@dataclass(frozen=True)
class Entry:
    """One arrival: who said what (None: the clock), at which local time."""

    day: date
    hour: str
    who: str | None
    text: str

    def at(self, zone: str) -> datetime:
        """The instant of the entry."""
        hours, minutes = map(int, self.hour.split(":"))
        wall = datetime(self.day.year, self.day.month, self.day.day, hours, minutes, tzinfo=ZoneInfo(zone))
        return wall.astimezone(UTC)


@dataclass(frozen=True)
class Conversation:
    """A whole file: its front matter and its entries in order."""

    front: dict[str, str]
    entries: tuple[Entry, ...]

    def moved(self, days: int) -> "Conversation":
        """The same conversation some days later; ISO dates that people write in it move along."""
        shifted = (
            Entry(e.day + timedelta(days=days), e.hour, e.who, _moved_dates(e.text, days)) for e in self.entries
        )
        return Conversation(self.front, tuple(shifted))


def read(path: Path) -> Conversation:
    """The conversation in a file. Raises ScriptError with the line that is not understood."""
    try:
        text = path.read_text("utf-8")
    except OSError as error:
        raise ScriptError(f"{path} cannot be read: {error.strerror}. Name a conversation file.") from error
    _, _, rest = text.partition("---\n")
    front, closed, body = rest.partition("\n---\n")
    if not closed:
        raise ScriptError(f"{path}: the front matter between two lines of --- is missing.")
    first = text[: text.index(body)].count("\n") + 1
    return Conversation(yaml.load(front, Loader=yaml.BaseLoader), tuple(_entries(path, body, first)))


def _entries(path: Path, body: str, first: int) -> Iterator[Entry]:
    day: date | None = None
    for number, line in enumerate(body.splitlines(), first):
        if heading := _DAY.fullmatch(line.strip()):
            day = datetime.strptime(heading[1], "%d %B %Y").date()  # noqa: DTZ007 - a day, no instant
        elif line.strip() and not line.startswith(" "):
            entry = _ENTRY.fullmatch(line)
            if entry is None or day is None:
                raise ScriptError(f"{path}:{number}: not understood: {line!r}. Write 'HH:MM Name: words' below a day.")
            yield Entry(day, f"{entry[1]}:{entry[2]}", None if entry[3] else entry[4], entry[5] or "")


def _moved_dates(text: str, days: int) -> str:
    def later(found: re.Match[str]) -> str:
        return (date.fromisoformat(found[0]) + timedelta(days=days)).isoformat()

    return re.sub(r"\d{4}-\d\d-\d\d", later, text)


@dataclass(frozen=True)
class Player:
    """Plays a conversation into a coach: enrols the athlete with the first entry, then takes entry by entry."""

    coach: Coach
    conversation: Conversation

    def play(self) -> Iterator[tuple[Entry, list[Message], int]]:
        """Each entry with what the coach said to anybody, and the position of the case before it."""
        front = self.conversation.front
        zone = front.get("zone", "UTC")
        begin = self.conversation.entries[0].at(zone)
        case = self.coach.enrol(front["athlete"], front["clinician"], begin, zone=zone)
        for entry in self.conversation.entries:
            before = self.coach.journal.position(case)
            self._take(case, entry, entry.at(self.coach.case(case).zone))
            said = self.coach.unsent([case, *self.coach.case(case).clinicians, "clinicians", "team"])
            self.coach.sent(said, entry.at(zone))
            yield entry, said, before

    def _take(self, case: str, entry: Entry, at: datetime) -> None:
        if entry.who is None:
            self.coach.tick(at)
        elif entry.who == self.conversation.front["athlete"]:
            self.coach.hear(case, entry.text, at)
        else:
            self.coach.act(entry.who, case, entry.text, at)


def written(conversation: Conversation, played: list[tuple[Entry, list[Message], int]]) -> str:
    """The conversation as a file, with what the coach really says."""
    lines = ["---", yaml.safe_dump(conversation.front, sort_keys=False, allow_unicode=True).strip(), "---"]
    day = None
    for entry, said, _ in played:
        if entry.day != day:
            day = entry.day
            lines += ["", f"== {day:%A} {day.day} {day:%B %Y} ==", ""]
        lines.append(f"{entry.hour} " + (CLOCK if entry.who is None else f"{entry.who}: {entry.text}"))
        for message in said:
            first, *more = message.text.splitlines()
            name = conversation.front["athlete"] if message.to == message.case else message.to
            lines.append(f"{_INDENT}to {name}: {first}")
            lines += [f"{_INDENT}{_INDENT}{line}" for line in more]
    return "\n".join(lines) + "\n"


def replay(paths: list[Path], *, check: bool, record: bool, as_json: bool, pace: float) -> int:
    """The command: play each file; 1 when a checked file differs from what the coach says now."""
    different = 0
    book = handbook.load()
    for path in paths:
        try:
            conversation = read(path)
        except ScriptError as error:
            print(error, file=sys.stderr)
            return 2
        with tempfile.TemporaryDirectory() as folder:
            journal = Journal.open(Path(folder) / "replay.sqlite")
            played = list(_played(Coach(journal, book), conversation, as_json=as_json, pace=pace, quiet=check or record))
            journal.close()
        text = written(conversation, played)
        if record:
            path.write_text(text, "utf-8")
        elif check:
            different += _compare(path, text)
    return 1 if different else 0


def _played(
    coach: Coach, conversation: Conversation, *, as_json: bool, pace: float, quiet: bool
) -> Iterator[tuple[Entry, list[Message], int]]:
    for entry, said, before in Player(coach, conversation).play():
        if as_json:
            print(json.dumps(_turn(coach, entry, said, before), ensure_ascii=False))
        elif not quiet:
            _show(entry, said, pace)
        yield entry, said, before


def _show(entry: Entry, said: list[Message], pace: float) -> None:
    print(f"{entry.day:%a %d %b} {entry.hour}  {entry.who or CLOCK}: {entry.text}".rstrip(": "), flush=True)
    for message in said:
        time.sleep(pace)
        print("\n".join(f"    {line}" for line in f"to {message.to}: {message.text}".splitlines()), flush=True)
    time.sleep(pace)


def _turn(coach: Coach, entry: Entry, said: list[Message], before: int) -> dict[str, object]:
    (case,) = coach.journal.cases()
    state = coach.case(case)
    session = state.session
    return {
        "day": entry.day.isoformat(),
        "hour": entry.hour,
        "who": entry.who or "clock",
        "text": entry.text,
        "said": [{"to": m.to, "kind": m.kind, "text": m.text} for m in said],
        "events": [json.loads(dump(event)) for _, event in coach.journal.read(case, before)],
        "session": [json.loads(line.model_dump_json()) for line in session.lines] if session else [],
        "alerts": [{"alert": a.alert, "tier": a.tier, "taken_by": a.taken_by} for a in state.alerts.values()],
    }


def _compare(path: Path, text: str) -> int:
    old = path.read_text("utf-8")
    if old == text:
        print(f"{path}: as written")
        return 0
    sys.stdout.writelines(
        difflib.unified_diff(old.splitlines(True), text.splitlines(True), f"{path} (written)", f"{path} (said now)")
    )
    return 1


def play_into(coach: Coach, conversation: Conversation) -> str:
    """Play a whole conversation quietly into an open coach; returns the id of the case."""
    for _ in Player(coach, conversation).play():
        pass
    return coach.journal.cases()[-1]


__all__ = ["CLOCK", "Conversation", "Entry", "Player", "ScriptError", "play_into", "read", "replay", "written"]
