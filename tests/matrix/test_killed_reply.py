"""Killed between storing a clinician's act and showing its words, the coach shows them after all, and once."""

import os
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from tests.matrix.clinic import Clinic, Talk, enrolled, people
from tests.matrix.people import Person, Town, bounded, until
from tests.matrix.scenes import cast, taken_in

KILLS = (  # when it dies, what is said to a coach before, what is said to the one that dies, the words it dies at
    ("before", "", "hours 8 to 18 mon tue", "08:00"),
    ("after", "", "hours 9 to 18 mon tue", "09:00"),
    ("before", "erase Sam", "no", "Left as it was"),
    ("after", "erase Sam", "no", "Left as it was"),
    ("before", "erase Sam", "yes", "Erased"),
    ("after", "erase Ben", "yes", "Erased"),
)


@contextmanager
def born(nursery: "subprocess.Popen[str]", how: str = "") -> Iterator[int]:
    """A coach of the nursery, and its process; killed at the end if it has not died."""
    assert nursery.stdin and nursery.stdout
    nursery.stdin.write(f"{how}\n")
    nursery.stdin.flush()
    coach = int(nursery.stdout.readline())
    try:
        yield coach
    finally:
        with suppress(ProcessLookupError):
            os.kill(coach, signal.SIGKILL)


def gone(coach: int) -> bool:
    try:
        os.kill(coach, 0)
    except ProcessLookupError:
        return True
    return False


def waiting(clinic: Clinic, lee: Person) -> bool:
    journal = clinic.journal()
    try:
        return bool(journal.unsent([person.id for person in journal.people()]))
    finally:
        journal.close()


async def shown_once(clinic: Clinic, desk: Talk, words: str, before: int) -> None:
    """The words come after all; nothing more waits to be said, and they have come once."""
    await desk.hears(words)
    await desk.person.say(desk.room, "help")
    await desk.hears("One line is one act")
    await until(lambda: not waiting(clinic, desk.person))
    assert sum(words in each for each in desk.person.heard(desk.room)[before:]) == 1


@bounded()
async def test_reply_survives_a_kill(town: Town) -> None:
    async with people(town, "ben") as (ben,), cast(town) as (clinic, lee, sam):
        async with clinic.running():
            desk = (await taken_in(clinic, lee, sam)).desk
            await enrolled(clinic, desk, ben, "Ben")
            await desk.quiet()
        with clinic.nursery() as nursery:
            for when, prepare, line, words in KILLS:
                if prepare:
                    with born(nursery):
                        await desk.say(prepare, "Write yes")
                before = desk.read = len(lee.heard(desk.room))
                with born(nursery, f"{when} {words}") as coach:
                    await lee.say(desk.room, line)
                    await until(lambda coach=coach: gone(coach))
                with born(nursery):
                    await shown_once(clinic, desk, words, before)
