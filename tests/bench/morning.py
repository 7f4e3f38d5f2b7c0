"""One morning of a large clinic in one process on one file: every check-in due at once, then every answer; no judge."""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from coachbot.coach import Coach
from coachbot.core.events import dump, load
from coachbot.journal import Journal, Person
from tests.bench.turns import next_line
from tests.shell import cases

ATHLETES, MESSAGES = 1000, 8


def clinic(path: Path) -> list[str]:
    """A file with many athletes who all went through the same days."""
    case = cases.write(path)
    journal = Journal.open(path, durable=False)
    facts = [dump(fact) for _, fact in journal.read(case)]
    names = [f"athlete{number}" for number in range(ATHLETES)]
    for name in names:
        own = [load(fact.replace(f'"athlete":"{case}"', f'"athlete":"{name}"')) for fact in facts]
        journal.append(name, 0, own, [], at=cases.now(), people=[Person(name, name, "athlete", name)])
    journal.close()
    return names


def timed(doing: Callable[[], object]) -> float:
    begin = time.perf_counter()
    doing()
    return time.perf_counter() - begin


def _answer(coach: Coach, name: str) -> None:
    """A whole turn: heard, stored, said, and remembered as said."""
    at = cases.now()
    coach.sent(coach.hear(name, next_line(coach, name) or "hello", at), at)


def measure() -> dict[str, float]:
    """Seconds of the start and of the check-ins; milliseconds of an answer, hearing and marking as sent together."""
    with tempfile.TemporaryDirectory() as folder:
        names = clinic(Path(folder, "coach.db"))
        coach = Coach(Journal.open(Path(folder, "coach.db")), cases.book())
        coach.prepare("en")
        start = timed(coach.next_wake)
        check_ins = timed(lambda: coach.tick(cases.now()))
        nothing = min(timed(lambda: coach.tick(cases.now())) for _ in range(20))
        answers = sorted(timed(lambda name=name: _answer(coach, name)) for _ in range(MESSAGES) for name in names)
        coach.journal.close()
    return {
        "athletes": ATHLETES,
        "start, s": start,
        "all check-ins, s": check_ins,
        "a tick with nothing due, ms": 1000 * nothing,
        "answers": len(answers),
        "answers/s": len(answers) / sum(answers),
        "p50, ms": 1000 * answers[len(answers) // 2],
        "p99, ms": 1000 * answers[len(answers) * 99 // 100],
    }
