"""Turns a second of the whole coach, heard, decided, rendered and durable, beside bare commits; it judges nothing."""

import sqlite3
import tempfile
import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median

from coachbot.coach import Coach
from coachbot.core.events import dump
from coachbot.journal import Journal
from tests.shell import cases

DAYS = 25
SEASON = 70  # days that leave at least 2,000 facts behind a case
ONE_DAY = timedelta(days=1)


def next_line(coach: Coach, case: str) -> str | None:
    """What the athlete writes next; None when the day is over."""
    state = coach.case(case)
    if state.talk.topic != cases.IDLE:
        return cases.line(state, "1")
    return "done" if state.session and state.session.open else None


def bare(path: Path) -> sqlite3.Connection:
    """A store that only commits: WAL, synchronous FULL, one row."""
    conn = sqlite3.connect(path, isolation_level=None)
    conn.execute("pragma journal_mode = wal")
    conn.execute("pragma synchronous = full")
    conn.execute("create table turn (number integer primary key, body text)")
    return conn


def _commit(conn: sqlite3.Connection, size: int) -> float:
    body, begin = "x" * size, time.perf_counter()
    conn.execute("begin immediate")
    conn.execute("insert into turn (body) values (?)", (body,))
    conn.execute("commit")
    return time.perf_counter() - begin


def _heard(coach: Coach, case: str, line: str, at: datetime) -> tuple[float, int]:
    """Seconds that the turn takes, and the bytes it stores."""
    before, begin = coach.journal.position(case), time.perf_counter()
    said = coach.hear(case, line, at)
    seconds = time.perf_counter() - begin
    coach.sent(said, at)
    facts = sum(len(dump(fact)) for _, fact in coach.journal.read(case, before))
    return seconds, facts + sum(len(message.text) for message in said)


def _day(coach: Coach, case: str, conn: sqlite3.Connection, at: datetime) -> Iterator[tuple[float, float, int]]:
    """Seconds of each turn of a day, seconds of a bare commit of the same bytes right after it, and the bytes."""
    for hour in (0, 9):
        coach.tick(at + timedelta(hours=hour))
        while (line := next_line(coach, case)) is not None:
            seconds, size = _heard(coach, case, line, at + timedelta(hours=hour))
            yield seconds, _commit(conn, size), size


def measure(days: int) -> dict[str, float]:
    """A month of a case that is so many days old: medians over days, so that the machine's mood falls on both alike."""
    with tempfile.TemporaryDirectory() as folder:
        case = cases.write(Path(folder, "coach.db"), days=days)
        coach, conn = Coach(Journal.open(Path(folder, "coach.db")), cases.book()), bare(Path(folder, "bare.db"))
        coach.prepare("en")
        facts, at = coach.journal.position(case), cases.now()
        month = [list(_day(coach, case, conn, at + day * ONE_DAY)) for day in range(DAYS)]
        coach.journal.close()
        conn.close()
    turns = [turn for day in month for turn in day]
    return {
        "facts before": facts,
        "turns": len(turns),
        "bytes in a turn": median(size for _, _, size in turns),
        "turns/s": 1 / median(heard for heard, _, _ in turns),
        "bare commits/s": 1 / median(commit for _, commit, _ in turns),
        "ratio of a day": median(sum(t[1] for t in day) / sum(t[0] for t in day) for day in month if day),
        "ratio of a turn": median(commit / heard for heard, commit, _ in turns),
    }
