"""Opens the SQLite file and brings its tables up to date; it must not know what the rows mean."""

import errno
import os
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from .faults import FOLDER, FOREIGN, NEWER, STRANGE, JournalError

if TYPE_CHECKING:
    from sqlite_utils import Database


APPLICATION = 0x436F6163  # "Coac": marks the file as the coach's own (PRAGMA application_id)
_SMALLEST = 512  # bytes of the smallest database (sqlite.org/fileformat.html); SQLite takes one byte for none
_PAUSE = 0.01  # seconds between two tries to switch a file to WAL

WHOLE = ("begin immediate", "commit", "rollback")
PART = ("savepoint part", "release part", "rollback to part")


@contextmanager
def transaction(conn: sqlite3.Connection) -> Iterator[None]:
    """All or nothing, also as a part of a larger one. Immediate: who becomes a writer only later waits for nobody."""
    begin, commit, rollback = PART if conn.in_transaction else WHOLE
    conn.execute(begin)
    try:
        yield
        conn.execute(commit)
    except BaseException:
        if conn.in_transaction:
            conn.execute(rollback)
        raise


# ---- the tables, version by version: a version that was used is never changed, a new one is added below ----


def _journal(db: "Database") -> None:
    """Version 1: the facts of each case, the arrivals taken, and the messages to send."""
    db.execute(
        "create table journal (case_id text not null, position integer not null, at text not null,"
        " kind text not null, body text not null, chain text not null,"
        " primary key (case_id, position)) without rowid"  # clustered: a case is read in one stretch
    )
    db.execute(
        "create table heard (arrival text not null primary key, case_id text not null,"
        " position integer not null, at text not null) without rowid"
    )
    db.execute(
        "create table outbox (seq integer primary key, case_id text not null, position integer not null,"
        " n integer not null, recipient text not null, kind text not null, text text not null,"
        " ask integer not null, alert text, made_at text not null, sent_at text,"
        " unique (case_id, position, n))"
    )
    db.execute("create index outbox_unsent on outbox (recipient, seq) where sent_at is null")


def _people(db: "Database") -> None:
    """Version 2: the people, and small settings."""
    columns = {"id": str, "name": str, "role": str, "case_id": str, "address": str}
    person = db.create_table("person", columns, pk="id", not_null={"id", "name", "role"})
    person.create_index(["address"], unique=True)
    db.create_table("kept", {"key": str, "value": str}, pk="key", not_null={"key", "value"})


MIGRATIONS: tuple[Callable[["Database"], None], ...] = (_journal, _people)
SCHEMA_VERSION = len(MIGRATIONS)


def schema_version(conn: sqlite3.Connection) -> int:
    """The version of the tables in the file; 0 for a new file."""
    return int(conn.execute("pragma user_version").fetchone()[0])


def _migrate(conn: sqlite3.Connection) -> None:
    if schema_version(conn) == SCHEMA_VERSION:
        return  # the common start, which need not load sqlite-utils: a twentieth of a second
    db = _utils(conn)
    for number, migration in enumerate(MIGRATIONS, 1):
        if schema_version(conn) >= number:
            continue
        with transaction(conn):
            if schema_version(conn) < number:  # another process may have been faster
                migration(db)
                conn.execute(f"pragma application_id = {APPLICATION}")
                conn.execute(f"pragma user_version = {number}")


def _utils(conn: sqlite3.Connection) -> "Database":
    with _hidden("numpy", "pandas"):  # it loads them when it finds them, only to know their types: 0.3 s
        from sqlite_utils import Database
    return Database(conn, recursive_triggers=False, execute_plugins=False)


@contextmanager
def _hidden(*modules: str) -> Iterator[None]:
    """While it lasts, importing these modules fails as if they were not there; those already loaded stay."""
    hidden = [name for name in modules if name not in sys.modules]
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type]  # None blocks a module
    try:
        yield
    finally:
        for name in hidden:
            del sys.modules[name]


# ---- the file ----------------------------------------------------------------------------------------------


def _claim(path: Path) -> None:
    """Creates a missing file for its owner's eyes only.

    An existing one is not opened: closing it would drop SQLite's locks on it
    (sqlite.org/howtocorrupt.html, section 2.2).
    """
    if path.is_dir():
        raise JournalError(FOLDER.format(path=path))
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except FileExistsError:
        if not os.access(path, os.R_OK | os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES)) from None
    if 0 < path.stat().st_size < _SMALLEST:
        raise JournalError(STRANGE.format(path=path))


def _inspect(conn: sqlite3.Connection, path: Path) -> None:
    """Refuses another program's file, and one of a newer version, before anything is written to it."""
    # The version first: another process may be creating the file.
    used = schema_version(conn) or conn.execute("select name from sqlite_master").fetchall()
    owner = conn.execute("pragma application_id").fetchone()[0]
    if owner != APPLICATION and (owner or used):
        raise JournalError(FOREIGN.format(path=path))
    if schema_version(conn) > SCHEMA_VERSION:
        raise JournalError(NEWER.format(path=path))


def _use_wal(conn: sqlite3.Connection, wait: float) -> None:
    """Readers and a writer at once. SQLite does not wait for this switch: two first starts would collide."""
    until = time.monotonic() + wait
    while True:
        try:
            conn.execute("pragma journal_mode = wal")
            return
        except sqlite3.OperationalError as error:
            if not error.sqlite_errorname.startswith("SQLITE_BUSY") or time.monotonic() > until:
                raise
            time.sleep(_PAUSE)


def connect(path: Path, wait: float, durable: bool) -> sqlite3.Connection:
    """The file at `path`, created or brought up to date; `wait` is the longest wait for a writer, in seconds.

    An acknowledged answer survives a power cut in a `durable` file; the other is faster and for play.

    Raises JournalError, OSError and sqlite3.Error.
    """
    _claim(path)
    conn = sqlite3.connect(path, timeout=wait, isolation_level=None)
    try:
        _inspect(conn, path)
        _use_wal(conn, wait)
        conn.execute(f"pragma synchronous = {'full' if durable else 'off'}")
        conn.execute("pragma secure_delete = on")
        _migrate(conn)
    except BaseException:
        conn.close()
        raise
    return conn
