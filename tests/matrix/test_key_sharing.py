"""What the coach says is readable on every device that can be reached, not merely sent."""

from asyncio import gather

import pytest
from nio import AsyncClient

from coachbot.channels.hardening import Hardened
from tests.matrix.people import Coach, Person, Town, bounded, until
from tests.matrix.wire import Wire, broken, wire


async def nothing(*_: object) -> None:
    """What a rule does when it is switched off."""


async def hears(person: Person, room: str, words: str) -> bool:
    """Whether the words are readable, once something has arrived and its key has had a second to follow."""
    count = len(person.messages(room))
    await person.sees(lambda: len(person.messages(room)) > count)
    for _ in range(4):
        if words in person.heard(room):
            return True
        await person.sync(250)
    return words in person.heard(room)


async def shared_over_bad_line(town: Town, coach: Coach, line: Wire) -> list[bool]:
    """The first two shares of a room's key fail: who of the two in the room can read the message."""
    async with town.person("anna") as anna, town.person("ben") as ben:
        room = await coach.courier.rooms.common("team", "Team", (anna.user_id, ben.user_id))
        await anna.joins(room)
        await ben.joins(room)
        await coach.gets(lambda a: a.kind == "joined" and a.sender == ben.user_id)
        line.fault = broken("sendToDevice/m.room.encrypted", times=2)
        await coach.courier.send(room, "t-1", "Training at 10")
        return await gather(*(hears(person, room, "Training at 10") for person in (anna, ben)))


@bounded()
async def test_failed_share_is_repeated(town: Town) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert await shared_over_bad_line(town, coach, line) == [True, True]


@bounded()
async def test_failed_share_unread_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "verify_share", lambda *_: None)
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert await shared_over_bad_line(town, coach, line) == [False, False]


@bounded()
async def test_error_page_is_success_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "create_matrix_response", AsyncClient.create_matrix_response)
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert await shared_over_bad_line(town, coach, line) == [False, False]


async def keyless_device(town: Town) -> tuple[bool, bool]:
    """A device has no one-time keys at the first message, new ones at the second: which can it read."""
    async with town.coach() as coach, town.person("anna") as anna, town.person("mallory") as mallory:
        room = await coach.room_for(anna)
        for _ in range(50):
            await mallory.claim(anna.user_id, anna.client.device_id)
        await coach.courier.send(room, "k-1", "before")
        first = await hears(anna, room, "before")
        assert coach.courier.voice.unreachable(room) == {anna.user_id}
        anna.client.olm.uploaded_key_count = 0
        await anna.upkeep()
        await coach.courier.send(room, "k-2", "after")
        return first, await hears(anna, room, "after")


@bounded()
async def test_keyless_device_reads_later(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "claim_again", 0.0)
    assert await keyless_device(town) == (False, True)


@bounded()
async def test_keyless_device_unread_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "late_sessions", nothing)
    assert await keyless_device(town) == (False, False)


async def second_phone(town: Town, coach: Coach, line: Wire) -> bool:
    """Asking for a new device's keys fails between two syncs: can it read the next message all the same."""
    async with town.person("anna") as anna:
        room = await coach.room_for(anna)
        await coach.courier.send(room, "d-1", "one")
        line.fault, rounds = broken("keys/query", times=1), coach.rounds
        async with town.person("anna", "PHONE", anna.user_id) as phone:
            await phone.joins(room)
            await until(lambda: coach.rounds > rounds)
            await coach.courier.send(room, "d-2", "two")
            return await hears(phone, room, "two")


@bounded()
async def test_new_device_reads_at_once(town: Town) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert await second_phone(town, coach, line)


@bounded()
async def test_new_device_unread_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        monkeypatch.setattr(Hardened, "current_devices", nothing)
        assert not await second_phone(town, coach, line)


@bounded()
async def test_expired_key_is_replaced(town: Town) -> None:
    """A key that has grown old in the middle of a repeated share is replaced, and the message is read."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await coach.courier.send(room, "e-1", "one")
        old = coach.client.olm.outbound_group_sessions[room]
        old.message_count, old.shared = old.max_messages, False
        await coach.courier.send(room, "e-2", "two")
        await anna.hears(room, "two")
        assert coach.client.olm.outbound_group_sessions[room].id != old.id
