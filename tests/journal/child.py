"""A process of its own that writes to a journal; started by the tests of writers and of crashes.

``child.py write FILE NAME COUNT [ARRIVALS]`` waits for a line, then stores COUNT turns in one case.
``child.py crash FILE STEP`` stores one turn and is killed before the given call on the connection.
"""

import contextlib
import os
import signal
import sys

from turns import AT, say, turn

from coachbot.journal import AlreadyHeard, Journal, Overtaken

CASE = "sam-1"


class Fatal:
    """A connection that kills the process before the given call, with no chance to tidy up."""

    def __init__(self, conn, step):
        self._conn, self._left = conn, step

    def __getattr__(self, name):
        return getattr(self._conn, name)

    def _call(self, method, *values):
        self._left -= 1
        if not self._left:
            os.kill(os.getpid(), signal.SIGKILL)
        return method(*values)

    def execute(self, *values):
        return self._call(self._conn.execute, *values)

    def executemany(self, *values):
        return self._call(self._conn.executemany, *values)


def store(journal, words, arrival):
    """One turn, tried again as long as another process is faster."""
    while True:
        after = journal.position(CASE)
        with contextlib.suppress(Overtaken):
            return journal.append(CASE, after, turn(words), [say(words)], arrival, at=AT)


def write(file, name, count, arrivals=None):
    print("ready", flush=True)
    sys.stdin.readline()
    journal = Journal.open(file, wait=30)
    for number in range(int(count)):
        with contextlib.suppress(AlreadyHeard):
            store(journal, f"{name} {number}", f"{arrivals or name} {number}")
    journal.close()


def crash(file, step):
    journal = Journal.open(file)
    journal._db = Fatal(journal._db, int(step))
    journal.append(CASE, 3, turn("second"), [say("second")], "event-2", at=AT, kept={"sync": "2"})
    os.kill(os.getpid(), signal.SIGKILL)


{"write": write, "crash": crash}[sys.argv[1]](*sys.argv[2:])
