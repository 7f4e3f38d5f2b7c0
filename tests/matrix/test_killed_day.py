"""Killed the hard way again and again during its days, the coach takes each answer once and says each message once."""

import asyncio
import os
import random
import signal
from collections import Counter
from contextlib import AsyncExitStack

from coachbot.core.effects import CLINICIANS
from coachbot.core.events import Heard
from coachbot.journal import Message
from tests.matrix.clinic import EVENING, Clinic, Talk
from tests.matrix.people import Person, Town, bounded, listening, until
from tests.matrix.scenes import FIRST_MORNING, POP, Scene, morning, red_flag, session, taken_in

KILLS = int(os.environ.get("COACHBOT_KILLS", "12"))
"""How often it is killed; 12 fit into half a minute. Athletes have their day until so many are done."""
CHANCE = int(os.environ.get("COACHBOT_CHANCE", "29"))
"""Where the random moments come from; printed with what was seen."""
LIFE = (0.2, 2.4)  # seconds until it is killed: while it starts, while it reads, while it speaks
PATIENCE = 100.0  # seconds: a coach that is killed now and then takes its time
NAMES = tuple(f"{first}{rest}" for rest in ("am", "im", "um") for first in "STPKRDLNWZ")
PICTURE = "picture"  # what is asked for with it stands in no journal
NO_OUTBOX = ("May I ask", "Walking pain in the mornings")  # the question for consent, the picture: said without it


async def killed_often(clinic: Clinic, chance: random.Random, gone: list[int]) -> None:
    """Start it and kill it at a random moment, each time; then leave it alone until the test is over."""
    with clinic.nursery() as nursery:
        assert nursery.stdin and nursery.stdout
        while True:
            nursery.stdin.write("\n")
            nursery.stdin.flush()
            coach = int(await asyncio.to_thread(nursery.stdout.readline))
            try:
                await asyncio.sleep(chance.uniform(*LIFE) if len(gone) < KILLS else 3600)
            finally:
                assert nursery.poll() is None, "a coach ended by itself"
                os.kill(coach, signal.SIGKILL)
                gone.append(coach)


async def day(clinic: Clinic, lee: Person, athlete: Person, number: int) -> Scene:
    """A first day with its red flag, which the clinician takes."""
    athlete.patience = PATIENCE
    if number:
        clinic.clock.to(FIRST_MORNING * number, EVENING)
    scene = await taken_in(clinic, lee, athlete, NAMES[number], spoken=True)
    await morning(scene, FIRST_MORNING * (number + 1), NAMES[number])
    await session(scene)
    await scene.talk.say(PICTURE, NO_OUTBOX[1])
    await red_flag(scene)
    await scene.desk.tap(POP, "✅")
    await scene.talk.hears("has read the message")
    return scene


@bounded(80 + 6 * KILLS)
async def test_killed_coach_loses_and_doubles_nothing(town: Town) -> None:
    gone: list[int] = []
    scenes: list[Scene] = []
    async with AsyncExitStack() as stack:
        lee = await stack.enter_async_context(town.person("lee"))
        lee.patience = PATIENCE
        clinic = Clinic(town, [lee])
        await town.log_in()
        async with listening(killed_often(clinic, random.Random(CHANCE), gone)):
            common = await clinic.enters(lee, CLINICIANS)
            for number, name in enumerate(NAMES):
                athlete = await stack.enter_async_context(town.person(name.lower()))
                scenes.append(await day(clinic, lee, athlete, number))
                if len(gone) >= KILLS:
                    break
            assert len(gone) >= KILLS, "there are not enough athletes for so many kills"
            await until(lambda: not unsaid(clinic), PATIENCE)
            for each in (common, *(room for scene in scenes for room in (scene.desk, scene.talk))):
                await each.quiet()
        check(clinic, common, scenes)
        print(f"killed {len(gone)} times, moments from {CHANCE}, {len(scenes)} athletes with a day each")


def unsaid(clinic: Clinic) -> list[Message]:
    journal = clinic.journal()
    try:
        return journal.unsent([*(person.id for person in journal.people()), CLINICIANS])
    finally:
        journal.close()


def check(clinic: Clinic, common: Talk, scenes: list[Scene]) -> None:
    """Each answer is in the journal once and in order; each message is in its room once, in order and readable."""
    alerts: Counter[str] = Counter()
    for scene in scenes:
        alerts += answered(clinic, scene.talk)
    assert len(alerts) >= len(scenes)
    desk = scenes[-1].desk
    for room in (desk, common):
        heard = room.person.heard(room.room)
        assert Counter(text.partition("\n")[2] for text in heard if text.startswith("@")) == alerts
        assert len(heard) == len(room.person.messages(room.room))
    shown = [text for text in desk.person.heard(desk.room) if "is enrolled" in text or "approved" in text]
    assert len(shown) == 2 * len(scenes)


def answered(clinic: Clinic, talk: Talk) -> Counter[str]:
    """The alerts about an athlete; the words of both stand once and in order where they belong."""
    journal = clinic.journal()
    try:
        person = journal.person_at(talk.person.user_id)
        assert person is not None and person.case is not None
        heard = [event.text for _, event in journal.read(person.case) if isinstance(event, Heard)]
        outbox = journal.messages(person.case)
    finally:
        journal.close()
    assert heard == [words for words in talk.person.said(talk.room) if words != PICTURE]
    told = [each.text for each in outbox if each.to == person.id]
    shown = talk.person.heard(talk.room)
    assert [text for text in shown if not any(words in text for words in NO_OUTBOX)] == told
    assert len(talk.person.messages(talk.room)) == len(told) + len(NO_OUTBOX)
    return Counter(each.text for each in outbox if each.kind == "alert")
