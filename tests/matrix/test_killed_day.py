"""Killed the hard way again and again during a day, the coach takes each answer once and says each message once."""

import asyncio
import os
import random
import signal

from coachbot.core.effects import CLINICIANS
from coachbot.core.events import Heard
from coachbot.journal import Message
from tests.matrix.clinic import INTAKE, Clinic, Talk, people
from tests.matrix.people import Person, Town, bounded, listening, until

KILLS = 25
"""As many as fit into about a minute."""
LIFE = (0.2, 3.0)  # seconds until it is killed: while it starts, while it reads, while it speaks
PATIENCE = 100.0  # seconds: a coach that is killed now and then takes its time


async def killed_often(clinic: Clinic, chance: random.Random, gone: list[int]) -> None:
    """Start it and kill it at a random moment, each time; then leave it alone until the test is over."""
    with clinic.nursery() as nursery:
        assert nursery.stdin and nursery.stdout
        while True:
            nursery.stdin.write("one more\n")
            nursery.stdin.flush()
            coach = int(await asyncio.to_thread(nursery.stdout.readline))
            try:
                await asyncio.sleep(chance.uniform(*LIFE) if len(gone) < KILLS else 3600)
            finally:
                assert nursery.poll() is None, "a coach ended by itself"
                os.kill(coach, signal.SIGKILL)
                gone.append(coach)


async def answers(talk: Talk, words: str, hears: str) -> None:
    """Say it once, however long the answer takes."""
    talk.read = len(talk.person.heard(talk.room))
    await talk.person.say(talk.room, words)
    await talk.person.sees(lambda: any(hears in said for said in talk.news()), PATIENCE)


async def day(clinic: Clinic, lee: Person, sam: Person) -> tuple[Talk, Talk, Talk, list[str]]:
    """A day with its red flag; the rooms, and what the athlete said."""
    desk = await clinic.enters(lee)
    common = await clinic.enters(lee, CLINICIANS)
    await answers(desk, f"enrol {sam.user_id} Sam", "is enrolled")
    talk = await clinic.enters(sam)
    await sam.sees(lambda: any("May I ask" in said for said in talk.news()), PATIENCE)
    said = ["yes", *INTAKE]
    for words in said:
        count = len(sam.heard(talk.room))
        await sam.say(talk.room, words)
        await sam.sees(lambda count=count: len(sam.heard(talk.room)) > count, PATIENCE)
    await answers(desk, "approve Sam", "approved")
    clinic.clock.to(2, 8, 1)
    await sam.sees(lambda: any("How much does your left leg" in said for said in talk.news()), PATIENCE)
    for words, hears in DAY:
        said.append(words)
        await answers(talk, words, hears)
    await lee.sees(lambda: any("felt a pop" in said for said in lee.heard(desk.room)), PATIENCE)
    await desk.tap("felt a pop", "✅")
    await sam.sees(lambda: any("has read the message" in said for said in sam.heard(talk.room)), PATIENCE)
    return desk, common, talk, said


DAY = (
    ("2 no", "1. Two-leg slider"),
    ("done", "What did you do"),
    ("3x8 full 2", "Single-leg hinge"),
    ("3x8 each side full 2", "any sudden sharp pain"),
    ("no", "How hard"),
    ("5, 25 min", "all noted"),
    ("felt a pop", "Please stop all training"),
)


@bounded(170)
async def test_killed_coach_loses_and_doubles_nothing(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        await town.log_in()
        gone: list[int] = []
        async with listening(killed_often(clinic, random.Random(29), gone)):
            desk, common, talk, said = await day(clinic, lee, sam)
            await until(lambda: len(gone) >= KILLS, PATIENCE)
            await until(lambda: not unsaid(clinic), PATIENCE)
            for each in (desk, common, talk):
                await each.quiet()
        check(clinic, desk, common, talk, said)


def unsaid(clinic: Clinic) -> list[Message]:
    journal = clinic.journal()
    try:
        return journal.unsent([*(person.id for person in journal.people()), CLINICIANS])
    finally:
        journal.close()


def check(clinic: Clinic, desk: Talk, common: Talk, talk: Talk, said: list[str]) -> None:
    """Each answer is in the journal once and in order; each message is in its room once, in order and readable."""
    journal = clinic.journal()
    try:
        heard = [event.text for _, event in journal.read("sam") if isinstance(event, Heard)]
        outbox = journal.messages("sam")
    finally:
        journal.close()
    assert heard == said
    to_sam = [each.text for each in outbox if each.to == "sam"]
    assert [text for text in talk.person.heard(talk.room) if "May I ask" not in text] == to_sam
    assert len(talk.person.messages(talk.room)) == len(to_sam) + 1
    alerts = [each.text for each in outbox if each.kind == "alert"]
    assert alerts
    for room in (desk, common):
        shown = [text.partition("\n")[2] for text in room.person.heard(room.room) if text.startswith("@")]
        assert shown == alerts
