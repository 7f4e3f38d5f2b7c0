"""Whatever happens while the coach is down or dies, every message is taken once and in order."""

import asyncio
from typing import Any

import pytest
from nio import AsyncClient

from coachbot.channels.matrix.answers import MatrixError
from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.courier import opened
from coachbot.channels.matrix.ear import Ear
from coachbot.channels.matrix.voice import NotHere
from tests.matrix.people import Coach, Town, bounded, until


class Crash(Exception):
    """The coach dies."""


async def die_at_third(town: Town, before: Coach) -> tuple[list[Arrival], str | None, str]:
    """Start, and die inside a batch: what was taken, the position saved, and the library's own."""
    taken: list[Arrival] = []
    saved = before.position

    async def take(arrival: Arrival) -> None:
        if len(taken) == 2:
            raise Crash
        taken.append(arrival)

    async def save(position: str) -> None:
        nonlocal saved
        saved = position

    async with opened(town.folder / "coach", before.book) as courier:
        with pytest.raises(Crash):
            await courier.listen(before.position, take, save)
        return taken, saved, courier.client.next_batch


async def crash_in_batch(town: Town, *, position_of_library: bool) -> set[str]:
    """Six messages wait, the coach dies at the third: what has been read when it has started again."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
        for number in range(6):
            await anna.say(room, f"message {number}")
        taken, saved, library = await die_at_third(town, before)
        async with town.coach(library if position_of_library else saved, before.book) as after:
            await anna.say(room, "the last one")
            await after.hears("the last one")
        return {arrival.text for arrival in [*taken, *after.arrivals] if arrival.kind == "text"}


ALL_SEVEN = {*(f"message {number}" for number in range(6)), "the last one"}


@bounded()
async def test_crash_in_batch_loses_nothing(town: Town) -> None:
    assert await crash_in_batch(town, position_of_library=False) == ALL_SEVEN


@bounded()
async def test_crash_loses_with_early_position(town: Town) -> None:
    assert await crash_in_batch(town, position_of_library=True) == {"message 0", "message 1", "the last one"}


async def long_downtime(town: Town, count: int) -> list[str]:
    """More messages than one sync carries are sent while the coach is down; what it reads, in order."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
        for number in range(count):
            await anna.say(room, f"message {number}")
        async with town.coach(before.position, before.book) as after:
            await after.hears(f"message {count - 1}")
            return after.texts(room)


@bounded()
async def test_200_messages_in_order(town: Town) -> None:
    assert await long_downtime(town, 200) == [f"message {number}" for number in range(200)]


@bounded()
async def test_gap_loses_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async def nothing(*_: Any) -> list[Any]:
        return []

    monkeypatch.setattr(Ear, "_gap", nothing)
    assert len(await long_downtime(town, 60)) < 60


async def restart_and_speak(town: Town) -> Coach:
    """Start again with nothing but the position, and speak."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
            rounds = before.rounds
            await anna.say(room, "before the restart")
            await before.hears("before the restart")
            await until(lambda: before.rounds > rounds)
        async with town.coach(before.position, before.book, patience=1.0) as after:
            await after.courier.send(room, "r-1", "back again")
            await anna.hears(room, "back again")
            return after


@bounded()
async def test_restart_speaks_and_repeats_nothing(town: Town) -> None:
    after = await restart_and_speak(town)
    assert after.arrivals == []


@bounded()
async def test_restart_is_dumb_without_full_state(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async def partial(self: AsyncClient, *rest: Any, full_state: object = None, **more: Any) -> Any:
        return await whole(self, *rest, **more)

    whole = AsyncClient.sync
    monkeypatch.setattr(AsyncClient, "sync", partial)
    with pytest.raises(BaseExceptionGroup) as failed:
        await restart_and_speak(town)
    assert failed.group_contains(NotHere)


@bounded()
async def test_nothing_old_without_position(town: Town) -> None:
    """A coach with an empty journal does not answer what was said before it."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
            await anna.say(room, "old words")
            await before.hears("old words")
        async with town.coach(None, before.book) as after:
            await anna.say(room, "new words")
            await after.hears("new words")
            assert after.texts() == ["new words"]


@bounded()
async def test_same_id_is_one_message(town: Town) -> None:
    """The same message sent again, at once and after a restart, stands in the room once."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
            first = await asyncio.gather(*(before.courier.send(room, "x-1", "Once only") for _ in range(3)))
        async with town.coach(before.position, before.book) as after:
            again = await after.courier.send(room, "x-1", "Once only")
            found = await after.courier.voice.find(room, "x-1")
            assert await after.courier.voice.find(room, "x-2") is None
            await after.courier.send(room, "x-3", "And then")
        await anna.hears(room, "And then")
        assert {*first, again, found} == {first[0]}
        assert anna.heard(room) == ["Once only", "And then"]


@bounded()
async def test_order_in_each_room(town: Town) -> None:
    """Twenty messages to each of two rooms, all asked for at once, arrive in the order of the calls."""
    words = [f"line {number}" for number in range(20)]
    async with town.coach() as coach, town.person("anna") as anna, town.person("ben") as ben:
        rooms = {person: await coach.room_for(person) for person in (anna, ben)}
        sends = [coach.courier.send(room, f"{i}", word) for i, word in enumerate(words) for room in rooms.values()]
        await asyncio.gather(*sends)
        for person, room in rooms.items():
            await person.hears(room, words[-1])
            assert person.heard(room) == words


@bounded()
async def test_errors_are_sentences(town: Town) -> None:
    async with town.coach() as coach:
        with pytest.raises(MatrixError, match="The coach is not in !nowhere:test"):
            await coach.courier.send("!nowhere:test", "e-1", "Anybody?")
