"""A message whose key comes late is read then; nobody is told too early, and no crash loses it."""

import asyncio

import pytest

from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.ear import Ear
from tests.matrix.people import LONG, Coach, Person, Town, bounded, until

QUEUE = 120  # a sync carries 100 to-device messages, so a key behind these comes with the second one


async def words_before_key(town: Town, anna: Person, mallory: Person) -> tuple[str, Coach]:
    """Anna writes while the coach is down, and her key waits behind a full page of other messages."""
    async with town.coach() as coach:
        room = await coach.room_for(anna)
    for number in range(QUEUE):
        await mallory.whisper(coach.user_id, "m.test", {"number": number})
    await anna.say(room, "2, a little stiff")
    return room, coach


async def read_late(town: Town, grace: float) -> list[tuple[str, str]]:
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        _, before = await words_before_key(town, anna, mallory)
        async with town.coach(before.position, before.book, grace=grace) as coach:
            arrival = await coach.gets(lambda a: a.kind in ("text", "undecryptable"))
            await until(lambda: coach.position != before.position)
            return [(arrival.kind, arrival.text)]


@bounded()
async def test_late_key_opens_message(town: Town) -> None:
    assert await read_late(town, LONG) == [("text", "2, a little stiff")]


@bounded()
async def test_message_stays_sealed_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Ear, "_open", lambda *_: None)
    assert await read_late(town, 2.0) == [("undecryptable", "")]


async def crash_before_key(town: Town, seconds: float) -> list[str]:
    """The coach dies between the sync with the message and the one with its key: what is read later."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        _, before = await words_before_key(town, anna, mallory)
        async with town.coach(before.position, before.book, grace=20.0) as first:
            saved = first.position  # the first round is over, the second is not
            assert not first.arrivals
        async with town.coach(saved, before.book, grace=seconds) as second:
            arrival = await second.gets(lambda a: a.kind in ("text", "undecryptable"), seconds)
            return [arrival.text]


@bounded()
async def test_crash_before_key_loses_nothing(town: Town) -> None:
    assert await crash_before_key(town, LONG) == ["2, a little stiff"]


@bounded()
async def test_crash_before_key_loses_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Ear, "_safe_position", lambda _, newest: newest)
    with pytest.raises(BaseExceptionGroup) as lost:
        await crash_before_key(town, 3.0)
    assert lost.group_contains(TimeoutError)


@bounded()
async def test_unreadable_is_told_then_read(town: Town) -> None:
    """Without grace the person is told at once; the words that come later are another arrival."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        _, before = await words_before_key(town, anna, mallory)
        async with town.coach(before.position, before.book, grace=0.0) as coach:
            await coach.hears("2, a little stiff")
        told, read = (a for a in coach.arrivals if a.kind in ("text", "undecryptable"))
        assert (told.kind, read.kind) == ("undecryptable", "text")
        assert told.event_id == read.event_id
        assert told.id != read.id
        assert told.sender == anna.user_id


@bounded()
async def test_keyless_message_is_told_once(town: Town) -> None:
    """A client that does not give the coach its key: one arrival says so, and the coach goes on."""
    async with town.coach(grace=0.3) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        for device in list(anna.client.olm.device_store.active_user_devices(coach.user_id)):
            anna.client.olm.blacklist_device(device)
        await anna.say(room, "for nobody")
        told = await coach.gets(lambda a: a.kind == "undecryptable")
        rounds = coach.rounds
        await anna.post(room, "m.reaction", {"m.relates_to": tap(told)})
        await coach.gets(lambda a: a.kind == "tap")
        await asyncio.sleep(0.5)
        assert coach.rounds > rounds
        assert [a.kind for a in coach.arrivals].count("undecryptable") == 1


def tap(arrival: Arrival) -> dict[str, str]:
    return {"rel_type": "m.annotation", "event_id": arrival.event_id, "key": "5"}
