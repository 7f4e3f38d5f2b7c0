"""Rooms are made once, encrypted, for the right people; a room that is gone is noticed."""

import json

import pytest

from coachbot.channels.matrix.rooms import NoSuchPerson, Rooms
from coachbot.channels.matrix.voice import NotEncrypted, NotHere
from tests.matrix.people import Book, Coach, Person, Town, bounded, until

ENCRYPTION = {"type": "m.room.encryption", "state_key": "", "content": {"algorithm": "m.megolm.v1.aes-sha2"}}


async def made_twice(town: Town) -> bool:
    """The coach dies between making a room and keeping it: whether the second try finds the first room."""
    async with town.coach() as coach, town.person("anna") as anna:
        first = await coach.courier.rooms.direct(anna.user_id, "Coach")
        forgetful = Rooms(coach.client, Book(), coach.secret)
        return first == await forgetful.direct(anna.user_id, "Coach")


@bounded()
async def test_room_is_made_once(town: Town) -> None:
    assert await made_twice(town)


@bounded()
async def test_room_is_made_twice_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    names = iter("ab")
    monkeypatch.setattr(Rooms, "_alias", lambda self, _: f"{town.tag}-{next(names)}")
    assert not await made_twice(town)


@bounded()
async def test_direct_room_is_private(town: Town) -> None:
    """Encrypted from the start, marked as direct, only the coach invites, and no name gives it away."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        assert coach.book[anna.user_id] == room
        state = (await anna.client.room_get_state(room)).events
        kinds = [event["type"] for event in state]
        assert "m.room.encryption" in kinds
        levels = next(event["content"] for event in state if event["type"] == "m.room.power_levels")
        assert levels["invite"] > levels.get("users_default", 0)
        alias = next(event["content"]["alias"] for event in state if event["type"] == "m.room.canonical_alias")
        assert anna.user_id.split(":")[0].lstrip("@") not in alias
        direct = await coach.client.call("GET", "client", "v3", "user", coach.user_id, "account_data", "m.direct")
        assert direct[anna.user_id] == [room]
        assert await coach.courier.rooms.members(room) == {coach.user_id, anna.user_id}


@bounded()
async def test_stranger_by_typing_error_is_noticed(town: Town) -> None:
    async with town.coach() as coach:
        with pytest.raises(NoSuchPerson, match="nobody called @nobody"):
            await coach.courier.rooms.direct("@nobody-at-all:test", "Coach")
        assert not coach.book


@bounded()
async def test_message_waits_for_reader(town: Town) -> None:
    """What is said before the invited person comes is readable when they do."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.courier.rooms.direct(anna.user_id, "Coach")
        await coach.courier.send(room, "w-1", "Welcome, Anna")
        await anna.joins(room)
        await anna.hears(room, "Welcome, Anna")


@bounded()
async def test_person_who_left_is_invited_again(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await anna.client.room_leave(room)
        left = await coach.gets(lambda a: a.kind == "left")
        assert (left.sender, left.room) == (anna.user_id, room)
        anna.client.rooms.pop(room)
        assert await coach.courier.rooms.direct(anna.user_id, "Coach") == room
        await anna.joins(room)
        await coach.courier.send(room, "b-1", "Good to see you")
        await anna.hears(room, "Good to see you")


@bounded()
async def test_common_room_invites_newcomers(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna, town.person("ben") as ben:
        room = await coach.courier.rooms.common("clinicians", "Clinicians", [anna.user_id])
        await anna.joins(room)
        assert await coach.courier.rooms.common("clinicians", "Clinicians", [anna.user_id, ben.user_id]) == room
        await ben.joins(room)
        await coach.gets(lambda a: a.kind == "joined" and a.sender == ben.user_id)
        await coach.courier.send(room, "c-1", "Both of you", mentions=[ben.user_id])
        for person in (anna, ben):
            await person.hears(room, "Both of you")
        assert ben.messages(room)[-1].source["content"]["m.mentions"] == {"user_ids": [ben.user_id]}


@bounded()
async def test_half_made_room_is_replaced(town: Town) -> None:
    """The homeserver died while it made the room: a room without encryption is not used."""
    async with town.coach() as coach, town.person("anna") as anna:
        rooms = coach.courier.rooms
        half = {"room_alias_name": rooms._alias(anna.user_id)}
        made = await coach.client.call("POST", "client", "v3", "createRoom", body=half)
        room = await coach.room_for(anna)
        assert room != made["room_id"]
        await coach.courier.send(room, "h-1", "encrypted")
        await anna.hears(room, "encrypted")


@bounded()
async def test_nothing_from_before_the_coach_came(town: Town) -> None:
    """A room with a past invites the coach, which then changes its name: only the words since count."""
    async with town.coach(grace=0.0) as coach, town.person("anna") as anna:
        made = await anna.client.room_create(initial_state=[ENCRYPTION])
        await anna.joins(made.room_id)
        for number in range(60):
            await anna.say(made.room_id, f"past {number}")
        await anna.client.room_invite(made.room_id, coach.user_id)
        await coach.gets(lambda a: a.kind == "invited")
        await coach.courier.rooms.join(made.room_id)
        await anna.sees(lambda: coach.user_id in anna.client.rooms[made.room_id].users)
        await anna.say(made.room_id, "first")
        await coach.client.call(
            "PUT", "client", "v3", "profile", coach.user_id, "displayname", body={"displayname": "Kim"}
        )
        await anna.say(made.room_id, "second")
        await coach.hears("second")
        await coach.hears("first")
        assert [a.kind for a in coach.arrivals if a.room == made.room_id] == ["invited", "text", "text"]


async def their_room(person: Person, coach: Coach, *, encrypted: bool) -> str:
    """A room a person has made, with the coach invited."""
    state = [ENCRYPTION] if encrypted else []
    made = await person.client.room_create(invite=[coach.user_id], initial_state=state)
    invited = await coach.gets(lambda a: a.kind == "invited" and a.room == made.room_id)
    assert invited.sender == person.user_id
    return str(made.room_id)


@bounded()
async def test_plain_room_is_refused(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await their_room(anna, coach, encrypted=False)
        await coach.courier.rooms.join(room)
        with pytest.raises(NotEncrypted, match="turn encryption on"):
            await coach.courier.send(room, "u-1", "private words")


@bounded()
async def test_kick_is_noticed(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await their_room(anna, coach, encrypted=True)
        await coach.courier.rooms.join(room)
        await anna.joins(room)
        await anna.sees(lambda: coach.user_id in anna.client.rooms[room].users)
        await coach.courier.send(room, "k-1", "hello")
        await anna.client.room_kick(room, coach.user_id)
        left = await coach.gets(lambda a: a.kind == "left")
        assert (left.sender, left.room) == (coach.user_id, room)
        assert room not in coach.client.rooms
        with pytest.raises(NotHere):
            await coach.courier.send(room, "k-2", "anybody?")


async def deleted(admin: Person, room: str) -> None:
    """The administrator throws everybody out and purges the room; Synapse may stumble over its own purge."""
    token = {"Authorization": f"Bearer {admin.client.access_token}"}
    for _ in range(5):
        path = f"/_synapse/admin/v1/rooms/{room}"
        response = await admin.client.send("DELETE", path, json.dumps({"purge": True}), token)
        if response.status < 500:
            break
    assert response.status in (200, 404), await response.text()


@bounded()
async def test_deleted_room_is_replaced(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna, town.admin() as admin:
        room = await coach.room_for(anna)
        await coach.courier.send(room, "x-1", "hello")
        await deleted(admin, room)
        with pytest.raises((NotHere, NotEncrypted)):  # while it is purged, the room may be there without its state
            await coach.courier.send(room, "x-2", "anybody?")
        again = await coach.courier.rooms.direct(anna.user_id, "Coach")
        assert again != room
        await coach.courier.send(again, "x-2", "anybody?")
        await anna.joins(again)
        await anna.hears(again, "anybody?")


@bounded()
async def test_stranger_invitation_can_be_declined(town: Town) -> None:
    async with town.coach() as coach, town.person("mallory") as mallory:
        room = await their_room(mallory, coach, encrypted=True)
        await coach.courier.rooms.leave(room)
        await mallory.joins(room)
        members = (await mallory.client.room_get_state(room)).events
        assert {"leave"} == {
            event["content"]["membership"] for event in members if event.get("state_key") == coach.user_id
        }
        await until(lambda: coach.rounds)
