"""Puts what SQLite and the disk refuse into a sentence for a person; it must not hide a fault or retry."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_FULL = "The disk that holds {path} is full. Free some space and try again: nothing stored was lost."
_FORBIDDEN = (
    "{path} may not be written here. Give the user who runs the coach the right to write to the file "
    "and to its folder, or name another file."
)
_MISSING = "The folder of {path} does not exist. Create the folder, or name another file."

FOLDER = "{path} is a folder. Name a file in it."
STRANGE = "{path} is not a file of the coach and was left as it is. Name another file."
FOREIGN = "{path} belongs to another program and was left as it is. Name another file."
NEWER = "{path} was made by a newer version of the coach. Update the coach, then open it again."
UNREADABLE = (
    "Fact {position} of the case {case} in {path} cannot be read: a newer version wrote it, or it was "
    "changed by hand. Update the coach; if that does not help, go back to a backup."
)
TAKEN = "The address {address} belongs to another person. Give each person an address of their own."
EXISTS = "{path} is there already. Name a file that does not exist yet."
HELD_OPEN = (
    "The case {case} is erased, but another program kept {path} from being cleaned of what was left. "
    "Close that program and erase the case again."
)

_BY_SQLITE = {
    sqlite3.SQLITE_BUSY: "{path} is in use by another program. Try again, nothing was lost; if it goes on, "
    "close the other program.",
    sqlite3.SQLITE_READONLY: _FORBIDDEN,
    sqlite3.SQLITE_PERM: _FORBIDDEN,
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened. See that its folder exists and that the user who runs "
    "the coach may read and write there.",
    sqlite3.SQLITE_NOTADB: STRANGE,
    sqlite3.SQLITE_CORRUPT: "{path} is damaged. Keep it, and go on with the latest backup.",
    sqlite3.SQLITE_IOERR: "The disk failed on {path} ({error}). Check the disk, then try again.",
}
_BY_SYSTEM = {
    errno.ENOENT: _MISSING,
    errno.ENOTDIR: _MISSING,
    errno.EACCES: _FORBIDDEN,
    errno.EPERM: _FORBIDDEN,
    errno.EROFS: _FORBIDDEN,
    errno.ENOSPC: _FULL,
}
_OTHER = "{path} could not be used ({error}). If this goes on, go back to the latest backup."
_PRIMARY = 0xFF  # the low byte of an extended result code is the primary one (sqlite.org/rescode.html)


class JournalError(Exception):
    """The file could not be used; its text says to a person what is wrong and what to do."""


@contextmanager
def spoken(path: Path) -> Iterator[None]:
    """Raises JournalError for the errors of SQLite and of the disk; a wrong use of SQLite stays as it is."""
    try:
        yield
    except sqlite3.Error as error:
        if isinstance(error, sqlite3.ProgrammingError):
            raise
        sentence = _BY_SQLITE.get(getattr(error, "sqlite_errorcode", 0) & _PRIMARY, _OTHER)
        raise JournalError(sentence.format(path=path, error=error)) from error
    except OSError as error:
        sentence = _BY_SYSTEM.get(error.errno or 0, _OTHER)
        raise JournalError(sentence.format(path=path, error=error)) from error
