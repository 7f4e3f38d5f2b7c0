"""A stranger in somebody's own room ends the talk there: it goes on, with all that waits, in a fresh room."""

import asyncio
from typing import Any

import pytest

from coachbot.serve.moves import Moves
from tests.matrix.clinic import Clinic, Talk, people
from tests.matrix.people import Person, Town, bounded
from tests.matrix.scenes import FIRST_MORNING, PAIN, cast, taken_in
from tests.matrix.test_upgraded_rooms import as_coach, fresh


async def overhear(clinic: Clinic, mallory: Person, talk: Talk) -> None:
    """A stranger comes into somebody's own room."""
    await as_coach(clinic, "POST", f"rooms/{talk.room}/invite", {"user_id": mallory.user_id})
    await mallory.joins(talk.room)


async def moved_from(clinic: Clinic, talk: Talk) -> Talk:
    await fresh(clinic, talk.person.user_id, talk.room)
    return await clinic.enters(talk.person)


@bounded()
async def test_athlete_gets_a_fresh_room(town: Town) -> None:
    """The stranger came while the coach was away, and the question of the morning waits."""
    async with people(town, "mallory") as (mallory,), cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            desk, talk = scene.desk, scene.talk
            await desk.say("approve Sam", "approved")
        old = talk.room
        await overhear(clinic, mallory, talk)
        clinic.clock.to(FIRST_MORNING, 8, 1)
        async with clinic.running():
            moved = await moved_from(clinic, talk)
            await moved.hears("We go on here")
            await moved.hears(PAIN)
            await moved.say("2 no", "1. Two-leg slider")
            await desk.hears(f"{mallory.user_id} came into the room of Sam")
            await sam.say(old, "felt a pop")  # heard there, answered here
            await moved.hears("Please stop all training")
            await Talk(mallory, old).quiet()
            assert not [e for e in mallory.messages(old) if e.sender == clinic.coach_id]
            members = await as_coach(clinic, "GET", f"rooms/{moved.room}/joined_members", {})
            assert set(members["joined"]) == {clinic.coach_id, sam.user_id}
            assert sam.client.rooms[moved.room].encrypted


@bounded()
async def test_clinician_gets_a_fresh_room(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three strangers in three desks in a row: while the coach is there, while it is away, and before it is stopped."""
    escape = Moves.escape

    async def and_no_further(*args: Any) -> None:
        await escape(*args)
        await asyncio.Event().wait()

    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            first = await clinic.enters(lee)
            await first.hears("This is your desk")
            before = len(lee.messages(first.room))
            await overhear(clinic, mallory, first)
            second = await moved_from(clinic, first)  # made as soon as she enters, before anything is to be said
            await second.hears(f"{mallory.user_id} came into the room of lee")
            await second.say("help", "One line is one act")
            assert len(lee.messages(first.room)) == before
            await second.quiet()

        await overhear(clinic, mallory, second)
        await lee.say(second.room, "help")
        async with clinic.running():  # the answer waits for the sync that brings the fresh room
            third = await moved_from(clinic, second)
            for words in ("We go on here", "One line is one act"):
                await lee.sees(lambda words=words: [said for said in lee.heard(third.room) if words in said])
            monkeypatch.setattr(Moves, "escape", and_no_further)
            await overhear(clinic, mallory, third)
            await fresh(clinic, lee.user_id, third.room)
        monkeypatch.undo()  # it was stopped before anybody was told why: that comes before all else
        await lee.say(third.room, "help")
        async with clinic.running():
            fourth = await clinic.enters(lee)
            await fourth.hears("One line is one act")
            assert "We go on here" in lee.heard(fourth.room)[0]

        for room in (first.room, second.room, third.room):
            assert not [e for e in mallory.messages(room) if e.sender == clinic.coach_id]
        assert not [said for talk in (second, third, fourth) for said in lee.heard(talk.room) if "your desk" in said]
