"""Plays written conversations into a coach, shows and compares them; it has no rule of its own."""

import difflib
import json
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from coachbot import handbook
from coachbot.coach import Coach
from coachbot.core.book import Handbook
from coachbot.core.effects import CLINICIANS
from coachbot.core.events import dump
from coachbot.journal import Journal, Person

from .script import Conversation, Entry, ScriptError, Told, read, spoken, written


@dataclass(frozen=True)
class Turn:
    """One entry played: what the coach said to anybody, and the position of the case before it."""

    entry: Entry
    said: list[Told]
    before: int


def play(coach: Coach, conversation: Conversation) -> Iterator[Turn]:
    """Enrol the athlete and take entry by entry; in between the clock speaks whenever something is due.

    A clock entry of the file only says how far time goes: what the clock does by itself becomes the turns.
    """
    zone, (first, *others) = conversation.front["zone"], conversation.clinicians
    for name in others:
        coach.journal.add_person(Person(name, name, "clinician"))
    case = coach.enrol(conversation.athlete, first, conversation.entries[0].at(zone), zone=zone)
    player = _Player(coach, case, conversation)
    for before, entry in zip((conversation.entries[0], *conversation.entries), conversation.entries, strict=False):
        yield from player.between(before, entry)
        if entry.who is not None:
            yield player.take(entry)


@dataclass(frozen=True)
class _Player:
    coach: Coach
    person: str
    conversation: Conversation

    @property
    def case(self) -> str:
        """The athlete's case; a new injury is a new one."""
        known = self.coach.journal.person(self.person)
        assert known is not None and known.case is not None, "the athlete was enrolled before"
        return known.case

    def between(self, before: Entry, entry: Entry) -> Iterator[Turn]:
        """What the clock does after one entry and before the next one is heard; what is overdue comes at once."""
        zone = ZoneInfo(self.coach.case(self.case).zone)
        while (due := self.coach.next_wake()) is not None and due <= entry.at(zone.key):
            local = max(due, before.at(zone.key)).astimezone(zone)
            brief = local.date() in self.conversation.brief_days
            turn = self.take(Entry(local.date(), local.time(), None, "", brief))
            if turn.said:
                yield turn

    def take(self, entry: Entry) -> Turn:
        """Play one entry and gather what is said to anybody."""
        coach, case = self.coach, self.case
        before, at, shown = coach.journal.position(case), entry.at(coach.case(case).zone), ""
        if entry.who is None:
            coach.tick(at)
        elif entry.who == self.conversation.athlete:
            coach.hear(self.person, entry.text, at)
        else:
            shown = coach.say(entry.who, entry.text, at)
        said = coach.unsent([self.person, *self.conversation.clinicians, CLINICIANS])
        coach.sent(said, at)
        told = [Told(self.conversation.athlete if m.to == self.person else m.to, m.text) for m in said]
        return Turn(entry, [*([Told(str(entry.who), shown)] if shown else []), *told], before)


def play_into(coach: Coach, conversation: Conversation) -> None:
    """Play a whole conversation quietly into an open coach."""
    for _ in play(coach, conversation):
        pass


def replay(paths: list[Path], *, check: bool, record: bool, as_json: bool, pace: float) -> int:
    """The command: play each file; 1 when a checked file differs from what the coach says now, 2 for a bad file."""
    book = handbook.load()
    different = 0
    for path in paths:
        try:
            conversation = read(path)
        except ScriptError as error:
            print(error, file=sys.stderr)
            return 2
        if check or record:
            different += _kept(path, said_now(conversation, book), record=record)
        else:
            _told(conversation, book, as_json=as_json, pace=pace)
    return 1 if different else 0


def said_now(conversation: Conversation, book: Handbook) -> str:
    """The file as it would be recorded now."""
    with _fresh(book) as coach:
        return written(conversation, [(turn.entry, turn.said) for turn in play(coach, conversation)])


def turns(conversation: Conversation, book: Handbook) -> Iterator[dict[str, object]]:
    """Every turn as plain data: what was said, the facts that followed, today's session and all alerts."""
    with _fresh(book) as coach:
        for turn in play(coach, conversation):
            yield _data(coach, turn)


@contextmanager
def _fresh(book: Handbook) -> Iterator[Coach]:
    """A coach on a store of its own that is gone afterwards."""
    with tempfile.TemporaryDirectory() as folder, closing(Journal.open(Path(folder) / "replay.sqlite")) as journal:
        yield Coach(journal, book)


def _kept(path: Path, now: str, *, record: bool) -> bool:
    """Whether the checked file differs from what the coach says now; a recorded one never does."""
    if record:
        path.write_text(now, "utf-8")
        return False
    old = path.read_text("utf-8")
    print(difference(path, old, now) or f"{path}: as written")
    return old != now


def difference(path: Path, old: str, now: str) -> str:
    """The lines in which a file and what is said now differ; empty when they are the same."""
    lines = difflib.unified_diff(
        old.splitlines(), now.splitlines(), f"{path} (written)", f"{path} (said now)", lineterm=""
    )
    return "\n".join(lines)


def _told(conversation: Conversation, book: Handbook, *, as_json: bool, pace: float) -> None:
    if as_json:
        for data in turns(conversation, book):
            print(json.dumps(data, ensure_ascii=False))
        return
    with _fresh(book) as coach:
        for turn in play(coach, conversation):
            print(f"{turn.entry.day:%a %d %b} {turn.entry}", flush=True)
            for message in turn.said:
                time.sleep(pace)
                print("\n".join(spoken([message])), flush=True)
            time.sleep(pace)


def _data(coach: Coach, turn: Turn) -> dict[str, object]:
    case = coach.cases()[-1]
    state, entry = coach.case(case), turn.entry
    session = state.session if state.session and state.session.day == entry.day else None
    return {
        "day": entry.day.isoformat(),
        "hour": f"{entry.hour:%H:%M}",
        "who": entry.who or "clock",
        "text": entry.text,
        "said": [{"to": each.to, "text": each.text} for each in turn.said],
        "events": [json.loads(dump(event)) for _, event in coach.journal.read(case, turn.before)],
        "session": [json.loads(line.model_dump_json()) for line in session.lines] if session else [],
        "alerts": [{"alert": a.alert, "tier": a.tier, "taken_by": a.taken_by} for a in state.alerts.values()],
    }
