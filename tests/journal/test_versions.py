"""Files of older versions are brought up to date; a file of a newer one is left alone."""

import hashlib
import sqlite3
from pathlib import Path

import pytest

from coachbot.core.events import Noted
from coachbot.journal import Journal, JournalError, Person
from coachbot.migrations import MIGRATIONS, SCHEMA_VERSION

from .turns import AT, say, turn

BODY = '{"at":"2026-03-02T07:00:00Z","kind":"noted","by":"dr-ada","note":"old"}'

# Written out, not taken from the code: what stands in old files never changes.
VERSION_1 = f"""
create table journal (case_id text not null, position integer not null, at text not null, kind text not null,
    body text not null, chain text not null, primary key (case_id, position)) without rowid;
create table heard (arrival text not null primary key, case_id text not null, position integer not null,
    at text not null) without rowid;
create table outbox (seq integer primary key, case_id text not null, position integer not null, n integer not null,
    recipient text not null, kind text not null, text text not null, ask integer not null, alert text,
    made_at text not null, sent_at text, unique (case_id, position, n));
create index outbox_unsent on outbox (recipient, seq) where sent_at is null;
insert into journal values ('sam-1', 1, '2026-03-02T07:00:00+00:00', 'noted', '{BODY}',
    '{hashlib.sha256(("sam-1" + BODY).encode()).hexdigest()}');
insert into heard values ('event-1', 'sam-1', 1, '2026-03-02T07:00:00+00:00');
insert into outbox values (1, 'sam-1', 1, 1, 'sam', 'say', 'old words', 1, null, '2026-03-02T07:00:00+00:00', null);
pragma application_id = 0x436F6163;
pragma user_version = 1;
"""


def by_hand(path: Path, script: str) -> Path:
    raw = sqlite3.connect(path)
    raw.executescript(script)
    raw.close()
    return path


def pragma(path: Path, name: str) -> object:
    raw = sqlite3.connect(path)
    (value,) = raw.execute(f"pragma {name}").fetchone()
    raw.close()
    return value


def test_first_version_brought_up(tmp_path: Path):
    path = by_hand(tmp_path / "old.db", VERSION_1)
    journal = Journal.open(path)
    assert journal.read("sam-1") == [(1, Noted(at=AT, by="dr-ada", note="old"))]
    assert [message.text for message in journal.unsent(["sam"])] == ["old words"]
    assert journal.append("sam-1", 1, turn("new"), [say("hi")], "event-2", at=AT) == 4
    journal.add_person(Person("sam", "Sam", "athlete", case="sam-1"))
    assert journal.people("athlete")[0].name == "Sam"
    assert journal.verify() == []
    journal.close()
    assert pragma(path, "user_version") == SCHEMA_VERSION > 1


def test_old_and_new_files_alike(tmp_path: Path):
    Journal.open(by_hand(tmp_path / "old.db", VERSION_1)).close()
    Journal.open(tmp_path / "new.db").close()
    shapes = []
    for name in ("old.db", "new.db"):
        raw = sqlite3.connect(tmp_path / name)
        rows = raw.execute("select sql from sqlite_master where sql is not null order by name").fetchall()
        shapes.append([" ".join(sql.split()) for (sql,) in rows])
        raw.close()
    assert shapes[0] == shapes[1]


def test_newer_version_left_alone(tmp_path: Path):
    path = by_hand(tmp_path / "new.db", VERSION_1 + f"pragma user_version = {SCHEMA_VERSION + 1};")
    before = path.read_bytes()
    with pytest.raises(JournalError, match=r"made by a newer version of the coach\. Update the coach"):
        Journal.open(path)
    assert path.read_bytes() == before


def test_failed_migration_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def half(db):
        db.execute("create table half (x text)")
        raise sqlite3.OperationalError("power cut")

    path = by_hand(tmp_path / "old.db", VERSION_1)
    with monkeypatch.context() as patch:
        patch.setattr("coachbot.migrations.MIGRATIONS", (MIGRATIONS[0], half))
        with pytest.raises(JournalError, match="power cut"):
            Journal.open(path)
    assert pragma(path, "user_version") == 1
    Journal.open(path).close()
    assert pragma(path, "user_version") == SCHEMA_VERSION


def test_file_opened_for_safety(journal: Journal, tmp_path: Path):
    """Its owner alone may read it; a commit waits for the disk (2 is FULL, 1 would be NORMAL)."""
    journal.append("sam-1", 0, turn("one"), [say("a")], at=AT)
    assert {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()} == dict.fromkeys(
        ("coach.db", "coach.db-wal", "coach.db-shm"), 0o600
    )
    settings = [journal._db.execute(f"pragma {name}").fetchone()[0] for name in ("journal_mode", "synchronous")]
    assert settings == ["wal", 2]
