"""A stranger in somebody's own room ends the talk there: it goes on, with all that waits, in a fresh room."""

import asyncio
from typing import Any

import pytest

from coachbot.serve.moves import Moves
from tests.matrix.clinic import Clinic, Talk, people
from tests.matrix.people import Town, bounded
from tests.matrix.scenes import FIRST_MORNING, PAIN, cast, taken_in
from tests.matrix.test_upgraded_rooms import as_coach, fresh


@bounded()
async def test_athlete_gets_a_fresh_room(town: Town) -> None:
    """The stranger came while the coach was away, and the question of the morning waits."""
    async with people(town, "mallory") as (mallory,), cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            desk, talk = scene.desk, scene.talk
            await desk.say("approve Sam", "approved")
        old = talk.room
        await as_coach(clinic, "POST", f"rooms/{old}/invite", {"user_id": mallory.user_id})
        await mallory.joins(old)
        clinic.clock.to(FIRST_MORNING, 8, 1)
        async with clinic.running():
            room = await fresh(clinic, sam.user_id, old)
            moved = await clinic.enters(sam)
            await moved.hears("We go on here")
            await moved.hears(PAIN)
            await moved.say("2 no", "1. Two-leg slider")
            await desk.hears(f"{mallory.user_id} came into the room of Sam")
            await sam.say(old, "felt a pop")  # heard there, answered here
            await moved.hears("Please stop all training")
            await Talk(mallory, old).quiet()
            assert not [e for e in mallory.messages(old) if e.sender == clinic.coach_id]
            members = await as_coach(clinic, "GET", f"rooms/{room}/joined_members", {})
            assert set(members["joined"]) == {clinic.coach_id, sam.user_id}
            assert sam.client.rooms[room].encrypted


@bounded()
async def test_clinician_gets_a_fresh_room(town: Town) -> None:
    """It is made as soon as the stranger enters, before anything is to be said."""
    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.hears("This is your desk")
            before = len(lee.messages(desk.room))
            await as_coach(clinic, "POST", f"rooms/{desk.room}/invite", {"user_id": mallory.user_id})
            await mallory.joins(desk.room)
            await fresh(clinic, lee.user_id, desk.room)
            moved = await clinic.enters(lee)
            await moved.hears(f"{mallory.user_id} came into the room of lee")
            await moved.say("help", "One line is one act")
            assert len(lee.messages(desk.room)) == before
            assert not [said for said in lee.heard(moved.room) if "This is your desk" in said]


@bounded()
async def test_line_beside_a_stranger_is_answered(town: Town) -> None:
    """Both came while the coach was away: the answer waits for the sync that brings the fresh room."""
    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.hears("This is your desk")
            await desk.quiet()
        await as_coach(clinic, "POST", f"rooms/{desk.room}/invite", {"user_id": mallory.user_id})
        await mallory.joins(desk.room)
        await lee.say(desk.room, "help")
        async with clinic.running():
            await fresh(clinic, lee.user_id, desk.room)
            moved = await clinic.enters(lee)
            for words in ("We go on here", "One line is one act"):
                await lee.sees(lambda words=words: [said for said in lee.heard(moved.room) if words in said])
            assert not [e for e in mallory.messages(desk.room) if e.sender == clinic.coach_id]


@bounded()
async def test_reason_comes_first_after_a_stop(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    """The coach is stopped when the fresh room is made and nobody was told why: that is said before all else."""
    escape = Moves.escape

    async def and_no_further(*args: Any) -> None:
        await escape(*args)
        await asyncio.Event().wait()

    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.hears("This is your desk")
            monkeypatch.setattr(Moves, "escape", and_no_further)
            await as_coach(clinic, "POST", f"rooms/{desk.room}/invite", {"user_id": mallory.user_id})
            await mallory.joins(desk.room)
            await fresh(clinic, lee.user_id, desk.room)
        monkeypatch.undo()
        await lee.say(desk.room, "help")
        async with clinic.running():
            moved = await clinic.enters(lee)
            await moved.hears("One line is one act")
            assert "We go on here" in lee.heard(moved.room)[0]
