"""How many turns a second the journal stores durably, beside bare commits of the same bytes; it judges nothing."""

import json
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from coachbot.core.events import Asked, Event, Heard, Noted, dump
from coachbot.journal import Journal, Outgoing

ROUNDS, TURNS = 15, 100  # rounds in turn, and turns in each: the machine's mood falls on both alike
AT = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
FACTS: list[Event] = [
    Heard(at=AT, text="2 this morning, no sharp pain, and the leg felt fine after the run"),
    Noted(at=AT, by="coach", note="walking pain 2, the usual morning score 2: yesterday's session counts " * 3),
    Asked(at=AT, topic="session.report", quote="How did the sliders go?"),
]
REPLY = Outgoing("sam", "say", "Thank you. 2 is fine: yesterday's session counts. Today: 3 x 6 sliders. " * 4)
BYTES = "".join(map(dump, FACTS)) + REPLY.text


def _timed(turn: Callable[[int], object], start: int) -> float:
    """Seconds that one round of turns takes."""
    before = time.perf_counter()
    for number in range(start, start + TURNS):
        turn(number)
    return time.perf_counter() - before


def _bare(path: Path) -> sqlite3.Connection:
    conn = sqlite3.connect(path, isolation_level=None)
    conn.execute("pragma journal_mode = wal")
    conn.execute("pragma synchronous = full")
    conn.execute("create table turn (number integer primary key, body text)")
    return conn


def _race(journal: Journal, conn: sqlite3.Connection) -> list[tuple[float, float]]:
    """Seconds of each round: the journal's, the bare one's."""

    def stored(number: int) -> None:
        journal.append("sam-1", number * len(FACTS), FACTS, [REPLY], f"event-{number}", at=AT)

    def bare(number: int) -> None:
        conn.execute("begin immediate")
        conn.execute("insert into turn values (?, ?)", (number, BYTES))
        conn.execute("commit")

    return [(_timed(stored, start), _timed(bare, start)) for start in range(0, ROUNDS * TURNS, TURNS)]


def measure() -> dict[str, float]:
    """Medians over interleaved rounds: turns a second, bare commits a second, their ratio, bytes in a turn."""
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal.open(Path(folder, "coach.db"))
        with closing(journal), closing(_bare(Path(folder, "bare.db"))) as conn:
            rounds = _race(journal, conn)
    return {
        "turns_per_second": TURNS / statistics.median(stored for stored, _ in rounds),
        "bare_commits_per_second": TURNS / statistics.median(bare for _, bare in rounds),
        "ratio_to_bare": statistics.median(bare / stored for stored, bare in rounds),
        "bytes_per_turn": float(len(BYTES)),
    }


if __name__ == "__main__":
    print(json.dumps(measure(), indent=2))
