"""Stores facts with the messages they cause in one SQLite file: the only door to it; it decides nothing."""

import os
import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from .chain import breaks, genesis, links
from .core.events import Event, load
from .faults import EXISTS, HELD_OPEN, TAKEN, UNREADABLE, JournalError, spoken
from .migrations import connect, transaction
from .records import Message, Outgoing, Person, Role

__all__ = ["AlreadyHeard", "Journal", "JournalError", "Message", "Outgoing", "Overtaken", "Person", "Role"]

WAIT = 5.0  # seconds another writer is waited for; one turn takes well under a millisecond

# Jumps from case to case along the key: `select distinct` would read every fact of every case.
_CASES = """
    with recursive named (id) as (
        select min(case_id) from journal
        union all
        select (select min(case_id) from journal where case_id > named.id) from named where id is not null
    ) select id, (select max(position) from journal where case_id = id) from named where id is not null"""
UNSWEPT = "unswept"
"""Where it is kept that something was erased and its bytes may still be in the file."""
_COLUMNS = "case_id, position, n, recipient, kind, text, ask, alert, made_at"
_PEOPLE = "select id, name, role, case_id, address from person where {} order by id"


class Overtaken(Exception):
    """Another writer moved the case: it stands at `position` now. Read it again and decide anew."""

    def __init__(self, case: str, position: int) -> None:
        super().__init__(f"the case {case} stands at {position}")
        self.position = position


class AlreadyHeard(Exception):
    """This arrival was taken before; everything it caused is stored."""


class Journal:
    """One open file. When it cannot be used, every method raises JournalError, a sentence for a person."""

    def __init__(self, path: Path, wait: float, durable: bool) -> None:
        self._path = path
        self._erased = ""
        with spoken(path):
            self._db = connect(path, wait, durable)
            self._seen = self._version()
        if self.kept(UNSWEPT):  # the last one ended between erasing and cleaning up
            with suppress(JournalError):  # not now: another program is using the file
                self._sweep()

    @classmethod
    def open(cls, path: Path | str, wait: float = WAIT, *, durable: bool = True) -> "Journal":
        """Opens the file, creates a missing one in an existing folder, brings an older one up to date.

        Only a file of no worth, such as a conversation played for show, is not `durable`: it is written faster.
        """
        return cls(Path(path), wait, durable)

    def close(self) -> None:
        self._db.close()

    # ---- facts ---------------------------------------------------------------------------------------------

    def cases(self) -> list[str]:
        return list(self.positions())

    def positions(self) -> dict[str, int]:
        """Every case, and how many facts it has."""
        return dict(self._rows(_CASES))

    def position(self, case: str) -> int:
        """How many facts the case has; 0 for one that is not there."""
        return self._tail(case)[0]

    def read(self, case: str, after: int = 0) -> list[tuple[int, Event]]:
        """The facts of the case beyond the position `after`, each with its position."""
        sql = "select position, body from journal where case_id = ? and position > ? order by position"
        rows = self._rows(sql, case, after)
        return [(position, self._event(case, position, body)) for position, body in rows]

    def append(
        self,
        case: str,
        after: int,
        facts: Sequence[Event],
        outgoing: Sequence[Outgoing],
        arrival: str | None = None,
        *,
        at: datetime,
        kept: Mapping[str, str] | None = None,
        people: Collection[Person] = (),
    ) -> int:
        """Stores one turn, all or nothing, and returns the new position: the one door by which facts enter.

        `arrival` is the channel's id of what arrived, `at` when it was taken, `kept` its settings, `people` who came.
        Raises Overtaken when the case is not at `after`, AlreadyHeard when `arrival` was taken before.
        """
        if outgoing and not facts:
            raise ValueError("a message needs a fact: its id is the position of one")
        position = after + len(facts)
        with self._writing():
            if arrival is not None:
                self._remember(arrival, case, position, at)
            self._chain(case, after, facts)
            self._post(case, position, outgoing, at)
            self._keep(kept or {})
            for person in people:
                self._seat(person)
        return position

    @contextmanager
    def together(self) -> Iterator[None]:
        """All that is stored while this lasts is stored in one transaction, or nothing of it; nobody waits inside."""
        with self._writing():
            yield
        self._clean()

    def _remember(self, arrival: str, case: str, position: int, at: datetime) -> None:
        row = (arrival, case, position, _utc(at))
        if not self._write("insert or ignore into heard values (?, ?, ?, ?)", [row]):
            raise AlreadyHeard(arrival)

    def _chain(self, case: str, after: int, facts: Sequence[Event]) -> None:
        here, chain = self._tail(case)
        if here != after:
            raise Overtaken(case, here)
        rows = (
            (case, position, _utc(fact.at), fact.kind, body, link)
            for position, fact, body, link in links(after, chain, facts)
        )
        self._write("insert into journal values (?, ?, ?, ?, ?, ?)", rows)

    def _post(self, case: str, position: int, outgoing: Sequence[Outgoing], at: datetime) -> None:
        rows = (
            (case, position, n, each.to, each.kind, each.text, each.ask, each.alert, _utc(at))
            for n, each in enumerate(outgoing, 1)
        )
        self._write(f"insert into outbox ({_COLUMNS}) values (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)

    def taken(self, arrival: str) -> str | None:
        """The case that took this arrival; None when nobody has."""
        rows = self._rows("select case_id from heard where arrival = ?", arrival)
        return rows[0][0] if rows else None

    # ---- messages ------------------------------------------------------------------------------------------

    def unsent(self, to: Collection[str]) -> list[Message]:
        """The messages to these people that were not sent yet, in the order in which they were stored."""
        return self._messages(f"sent_at is null and recipient in ({', '.join('?' * len(to))})", *to)

    def messages(self, case: str, to: str | None = None) -> list[Message]:
        """All messages of the case in order, or those to one person: the last question is among them."""
        return self._messages("case_id = ? and recipient = coalesce(?, recipient)", case, to)

    def mark_sent(self, ids: Collection[str], at: datetime) -> None:
        """These messages went out; the first time counts. One of a case erased meanwhile is passed over."""
        which = "case_id = ? and position = ? and n = ? and sent_at is null"
        with self._writing():
            rows = ((_utc(at), *message.rsplit("-", 2)) for message in ids)
            self._write(f"update outbox set sent_at = ? where {which}", rows)

    def changed(self) -> bool:
        """Whether another connection wrote to the file since the last call; costs a few microseconds."""
        with spoken(self._path):
            before, self._seen = self._seen, self._version()
        return before != self._seen

    # ---- people and settings -------------------------------------------------------------------------------

    def add_person(self, person: Person) -> None:
        """Adds the person, or replaces what was known of them; raises JournalError for another's address."""
        with self._writing():
            self._seat(person)

    def _seat(self, person: Person) -> None:
        other = person.address and self.person_at(person.address)
        if other and other.id != person.id:
            raise JournalError(TAKEN.format(address=person.address))
        row = (person.id, person.name, person.role, person.case, person.address)
        columns = "id, name, role, case_id, address"
        self._write(f"insert or replace into person ({columns}) values (?, ?, ?, ?, ?)", [row])

    def person(self, id: str) -> Person | None:
        return next(iter(self._people("id = ?", id)), None)

    def person_at(self, address: str) -> Person | None:
        return next(iter(self._people("address = ?", address)), None)

    def people(self, *roles: Role) -> list[Person]:
        """Everyone, or everyone with one of these roles, in the order of their ids."""
        return self._people(f"role in ({', '.join('?' * len(roles))})" if roles else "true", *roles)

    def keep(self, key: str, value: str) -> None:
        """Keeps a small setting, such as how far a channel has read."""
        with self._writing():
            self._keep({key: value})

    def keep_all(self, kept: Mapping[str, str], without: Collection[str] = ()) -> None:
        """Keeps these settings, and others no longer, all or nothing."""
        with self._writing():
            self._keep(kept)
            self._write("delete from kept where key = ?", ((key,) for key in without))

    def forget(self, keys: Collection[str]) -> None:
        """Keeps these settings no longer."""
        with self._writing():
            self._write("delete from kept where key = ?", ((key,) for key in keys))

    def all_kept(self, beginning: str) -> dict[str, str]:
        """The settings whose keys begin like this."""
        return dict(self._rows("select key, value from kept where substr(key, 1, length(?)) = ?", beginning, beginning))

    def kept(self, key: str) -> str | None:
        rows = self._rows("select value from kept where key = ?", key)
        return rows[0][0] if rows else None

    # ---- care of the file ----------------------------------------------------------------------------------

    def verify(self) -> list[str]:
        """What is wrong with the file, a sentence each; empty when every fact stands as it was written."""
        try:
            said = [line for (line,) in self._rows("pragma quick_check") if line != "ok"]
            damage = [f"The file is damaged: {line}." for line in said]
            return damage or [line for case in self.cases() for line in self._breaks(case)]
        except JournalError as error:
            return [str(error)]

    def _breaks(self, case: str) -> Iterator[str]:
        sql = "select position, body, chain from journal where case_id = ? order by position"
        ((heard,),) = self._rows("select coalesce(max(position), 0) from heard where case_id = ?", case)
        return breaks(case, self._rows(sql, case), heard)

    def erase(self, case: str) -> None:
        """Erases the case with its messages and its athlete, and leaves no bytes of them in the file.

        No other case is touched. Its name must not be given again: the same message ids would come back.
        """
        with self._writing():
            for table in ("journal", "heard", "outbox", "person"):
                self._db.execute(f"delete from {table} where case_id = ?", (case,))
            self._keep({UNSWEPT: "yes"})
        self._erased = case
        self._clean()

    def _clean(self) -> None:
        """After something was erased, once everything that belongs to it is stored."""
        if self._erased and not self._db.in_transaction:
            case, self._erased = self._erased, ""
            if not self._sweep():
                raise JournalError(HELD_OPEN.format(case=case, path=self._path))

    def _sweep(self) -> bool:
        """Whether no bytes of whatever was erased are left in the file."""
        # secure_delete alone leaves copies where rows had moved between pages: the file is written anew.
        self._rows("vacuum")
        ((busy, *_),) = self._rows("pragma wal_checkpoint(truncate)")
        if not busy:
            self.forget([UNSWEPT])
        return not busy

    def backup(self, path: Path | str) -> None:
        """Copies the file as it stands to a new file at `path`, while others go on writing."""
        path = Path(path)
        with spoken(path):
            try:
                os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
            except FileExistsError:
                raise JournalError(EXISTS.format(path=path)) from None
            with closing(sqlite3.connect(path)) as copy:
                self._db.backup(copy)

    # ---- on the connection ---------------------------------------------------------------------------------

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with spoken(self._path), transaction(self._db):
            yield

    def _write(self, sql: str, rows: Iterable[Sequence[object]]) -> int:
        """How many rows changed. Straight on the connection: the inserts of sqlite-utils take twice as long."""
        return self._db.executemany(sql, rows).rowcount

    def _rows(self, sql: str, *values: object) -> list[Any]:
        with spoken(self._path):
            return self._db.execute(sql, values).fetchall()

    def _version(self) -> int:
        return int(self._db.execute("pragma data_version").fetchone()[0])

    def _tail(self, case: str) -> tuple[int, str]:
        """Where the case stands, and its chain there."""
        sql = "select position, chain from journal where case_id = ? order by position desc limit 1"
        rows = self._rows(sql, case)
        return rows[0] if rows else (0, genesis(case))

    def _event(self, case: str, position: int, body: str) -> Event:
        try:
            return load(body)
        except ValueError as error:
            said = UNREADABLE.format(case=case, position=position, path=self._path)
            raise JournalError(said) from error

    def _messages(self, where: str, *values: object) -> list[Message]:
        sql = f"select {_COLUMNS}, sent_at from outbox where {where} order by seq"
        return [_message(row) for row in self._rows(sql, *values)]

    def _people(self, where: str, *values: object) -> list[Person]:
        return [Person(*row) for row in self._rows(_PEOPLE.format(where), *values)]

    def _keep(self, kept: Mapping[str, str]) -> None:
        self._write("insert or replace into kept (key, value) values (?, ?)", kept.items())


def _utc(at: datetime) -> str:
    """The moment as UTC ISO text. Raises ValueError for one without a time zone."""
    if at.tzinfo is None:
        raise ValueError("a moment needs its time zone")
    return at.astimezone(UTC).isoformat()


def _message(row: tuple[Any, ...]) -> Message:
    case, position, n, to, kind, text, ask, alert, made_at, sent_at = row
    return Message(
        to=to,
        kind=kind,
        text=text,
        ask=bool(ask),
        alert=alert,
        id=f"{case}-{position}-{n}",
        case=case,
        made_at=datetime.fromisoformat(made_at),
        sent_at=datetime.fromisoformat(sent_at) if sent_at else None,
    )
