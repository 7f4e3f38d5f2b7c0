"""A process that forks one child for every step of a turn; the child is killed at that step by SIGKILL.

``crashing.py FILE FOLDER`` copies FILE for each child and prints a line for each: the step's name and the copy.
The last line is of a child that came to its end.
"""

import os
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cases import now

from coachbot import coach as shell, handbook
from coachbot.coach import Coach
from coachbot.journal import Journal


class Death:
    """Lets so many steps pass, then kills the process with no chance to tidy up; it tells which step that was."""

    def __init__(self, left: int, tell: int) -> None:
        self._left, self._tell = left, tell

    def near(self, step: str) -> None:
        self._left -= 1
        if self._left < 0:
            os.write(self._tell, step.encode())
            os.kill(os.getpid(), signal.SIGKILL)

    def around(self, name: str, doing: Callable[..., Any]) -> Callable[..., Any]:
        def done(*values: Any, **named: Any) -> Any:
            self.near(f"before {name}")
            result = doing(*values, **named)
            self.near(f"after {name}")
            return result

        return done


class Fatal:
    """A connection on which every call may be the last."""

    def __init__(self, conn: Any, death: Death) -> None:
        self._conn = conn
        self.execute = death.around("execute", conn.execute)
        self.executemany = death.around("executemany", conn.executemany)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._conn, name)


def turn(coach: Coach, death: Death, shown: Path, case: str, text: str) -> None:
    """One whole turn as a room does it: hear, show, remember that it was shown."""
    shell.step = death.around("step", shell.step)
    coach.journal._db = Fatal(coach.journal._db, death)  # type: ignore[assignment]
    said = coach.hear(case, text, now(), message="event-1")
    death.near("before showing")
    shown.write_text("\n".join(message.id for message in said))
    death.near("after showing")
    coach.sent(said, now())
    death.near("at the end")


def crash(file: Path, folder: Path, case: str, text: str) -> None:
    book = Coach(Journal.open(file), handbook.load())
    book.prepare("en")
    book.journal.close()
    for step in range(1000):
        copy, (hear, tell) = folder / f"{step}.sqlite", os.pipe()
        shutil.copy(file, copy)
        child = os.fork()
        if not child:
            coach = Coach(Journal.open(copy), book.book)
            turn(coach, Death(step, tell), copy.with_suffix(".shown"), case, text)
            os._exit(0)
        os.close(tell)
        with os.fdopen(hear, "rb") as told:
            name = told.read().decode()
        _, status = os.waitpid(child, 0)
        killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
        print(f"{name if killed else 'finished' if status == 0 else f'failed {status}'}\t{copy}", flush=True)
        if not killed:
            return


crash(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], sys.argv[4])
