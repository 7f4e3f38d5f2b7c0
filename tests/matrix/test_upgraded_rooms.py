"""A room that was upgraded is followed when that is safe, and left behind when it is not; nothing is said twice."""

import json
import sqlite3
from datetime import timedelta
from typing import Any

import pytest
from aiohttp import ClientSession

from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.serve.moves import Moves
from tests.matrix.clinic import PATIENT, Clinic, Talk, enrolled, people
from tests.matrix.people import Person, Town, bounded, until
from tests.matrix.scenes import FIRST_MORNING, PAIN, POP, Scene, cast, clinic_day, morning, red_flag, taken_in

ENCRYPTED = {"type": "m.room.encryption", "state_key": "", "content": {"algorithm": "m.megolm.v1.aes-sha2"}}


async def as_coach(clinic: Clinic, method: str, path: str, body: dict[str, Any]) -> dict[str, Any]:
    """A request in the coach's own name, as the operator of the homeserver would make one."""
    token = json.loads((clinic.town.folder / "coach" / "login.json").read_text())["token"]
    url, headers = f"{clinic.town.url}/_matrix/client/v3/{path}", {"Authorization": f"Bearer {token}"}
    async with ClientSession() as session, session.request(method, url, json=body, headers=headers) as answer:
        assert answer.status == 200, await answer.text()
        return dict(await answer.json())


async def empower(clinic: Clinic, person: Person, room: str, level: int = 150) -> None:
    """Give a person the power to replace the room, or take it away."""
    levels = (await person.client.room_get_state_event(room, "m.room.power_levels")).content
    users = {**levels["users"], person.user_id: level}
    await as_coach(clinic, "PUT", f"rooms/{room}/state/m.room.power_levels/", {**levels, "users": users})


async def upgrade(person: Person, room: str, *invited: str, version: str = "12") -> str:
    """Upgrade the room as a Matrix app does: replace it, then ask in who was there; the new room."""
    answer = await person.request("POST", f"/_matrix/client/v3/rooms/{room}/upgrade", {"new_version": version})
    new = str(answer["replacement_room"])
    for each in invited:
        await person.client.room_invite(new, each)
    return new


async def made(person: Person, old: str = "", **more: Any) -> str:
    """A room made by hand that claims to replace the old one."""
    claim = {"room_id": old, "event_id": "$x"} if old else None
    return str((await person.client.room_create(predecessor=claim, **more)).room_id)


async def replace(lee: Person, old: str, new: str, clinic: Clinic, host: Person | None = None) -> str:
    """Say in the old room that it goes on in this one, and ask the coach in there; the new room."""
    content = {"body": "This room has been replaced", "replacement_room": new}
    await lee.request("PUT", f"/_matrix/client/v3/rooms/{old}/state/m.room.tombstone/", content)
    await (host or lee).client.room_invite(new, clinic.coach_id)
    return new


async def fresh(clinic: Clinic, key: str, *others: str) -> str:
    """The room that the talk goes on in, once it is none of the others."""
    return str(await until(lambda: (now := clinic.kept(f"matrix room {key}")) not in others and now))


@bounded()
async def test_own_upgrade_is_followed(town: Town) -> None:
    """The operator upgrades an athlete's room in the coach's name: the talk goes on there, the words in it too."""
    async with clinic_day(town) as scene:
        clinic, talk, sam = scene.clinic, scene.talk, scene.talk.person
        await talk.quiet()
        before = len(sam.messages(talk.room))
        answer = await as_coach(clinic, "POST", f"rooms/{talk.room}/upgrade", {"new_version": "12"})
        assert await fresh(clinic, sam.user_id, talk.room) == answer["replacement_room"]
        moved = await clinic.enters(sam)
        await morning(Scene(clinic, scene.desk, moved))
        await moved.say("2 no", "1. Two-leg slider")
        await talk.quiet()
        assert len(sam.messages(talk.room)) == before
        assert count(sam.heard(moved.room)) == 1


@bounded()
@pytest.mark.parametrize("version", ["11", "12"])
async def test_clinicians_room_is_followed(town: Town, version: str) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(lee, CLINICIANS)
            await clinic.enters(kim, CLINICIANS)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await empower(clinic, lee, common.room)
            new = await upgrade(lee, common.room, clinic.coach_id, kim.user_id, version=version)
            assert await fresh(clinic, CLINICIANS, common.room) == new
            both = [await clinic.enters(person, CLINICIANS) for person in (lee, kim)]
            await talk.say("felt a pop", "Please stop all training")
            for each in both:
                await each.hears("felt a pop")
            await both[1].tap("felt a pop", "✅")
            await talk.hears("has read the message about you")
            assert not [said for said in lee.heard(common.room) if "felt a pop" in said]


@bounded()
async def test_desk_and_team_are_followed(town: Town) -> None:
    async with people(town, "lee", "finn") as (lee, finn):
        clinic = Clinic(town, [lee], staff=[finn.user_id], team_room="Team")
        async with clinic.running():
            for key in (lee.user_id, TEAM):
                talk = await clinic.enters(lee, key)
                await empower(clinic, lee, talk.room)
                new = await upgrade(lee, talk.room, clinic.coach_id, *([finn.user_id] if key == TEAM else []))
                assert await fresh(clinic, key, talk.room) == new
            desk = await clinic.enters(lee)
            assert "One line is one act" in await desk.say("help", "One line is one act")
            assert not [said for said in lee.heard(desk.room) if "This is your desk" in said]
            team = await clinic.enters(finn, TEAM)
            await team.say("Coach: board", "No athlete shares", **{"m.mentions": {"user_ids": [clinic.coach_id]}})


async def replaced_while_away(town: Town, *, marked: bool) -> tuple[list[str], list[str]]:
    """The question of the morning was said, or not, when the room was replaced: what stands in both rooms."""
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            talk = scene.talk
            if marked:
                await scene.desk.say("approve Sam", "approved")
            else:
                await morning(scene)
            await talk.quiet()
        if not marked:  # as if it had been killed after the question was said and before that was noted
            with sqlite3.connect(town.folder / "coach.sqlite") as file:
                file.execute("update outbox set sent_at = null where seq = (select max(seq) from outbox)")
        await as_coach(clinic, "POST", f"rooms/{talk.room}/upgrade", {"new_version": "12"})
        if marked:
            clinic.clock.to(FIRST_MORNING, 8, 1)
        else:
            clinic.clock.ahead += timedelta(minutes=1)
        async with clinic.running():
            await fresh(clinic, sam.user_id, talk.room)
            moved = await clinic.enters(sam)
            if marked:
                await moved.hears(PAIN)
            else:
                await moved.say("2", "sudden sharp pain")
            await talk.quiet()
        return sam.heard(talk.room), sam.heard(moved.room)


def count(said: list[str]) -> int:
    return sum(PAIN in each for each in said)


@bounded()
async def test_waiting_words_go_to_new_room(town: Town) -> None:
    old, new = await replaced_while_away(town, marked=True)
    assert (count(old), count(new)) == (0, 1)


@bounded()
async def test_said_words_are_not_repeated(town: Town) -> None:
    old, new = await replaced_while_away(town, marked=False)
    assert (count(old), count(new)) == (1, 0)


@bounded()
async def test_killed_move_goes_on(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    """The coach dies after it read of the replacement and before it moved."""
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        with monkeypatch.context() as dying:
            dying.setattr(Moves, "_follow", lambda *_: until(lambda: False))
            async with clinic.running():
                desk = await clinic.enters(lee)
                talk = await enrolled(clinic, desk, sam, "Sam")
                position = clinic.kept("matrix position")
                await as_coach(clinic, "POST", f"rooms/{talk.room}/upgrade", {"new_version": "12"})
                await until(lambda: clinic.kept(f"matrix replaced {talk.room}"))
                await until(lambda: clinic.kept("matrix position") != position)
        async with clinic.running():
            await fresh(clinic, sam.user_id, talk.room)
            moved = await clinic.enters(sam)
            await moved.say("help", "correct")


@bounded()
@pytest.mark.parametrize("flaw", ["not_invited", "unproven", "another's", "open", "public", "strangers", "no_power"])
async def test_unfit_room_is_not_followed(town: Town, flaw: str) -> None:
    """The coach goes on in a room of its own making, tells the clinicians why, and says nothing in the other."""
    async with (
        people(town, "kim", "mallory") as (kim, mallory),
        cast(town, kim) as (clinic, lee, sam),
        clinic.running(room_wait=1.0 if flaw == "not_invited" else PATIENT),
    ):
        scene = await taken_in(clinic, lee, sam)
        common = await scene.common()
        await empower(clinic, lee, common.room)
        new = await FLAWS[flaw](clinic, lee, mallory, common.room)
        await scene.desk.hears(WHY[flaw])
        room = await fresh(clinic, CLINICIANS, common.room)
        assert room != new
        again = await scene.common()
        await red_flag(scene)
        await again.hears(POP)
        await Talk(lee, new).quiet()
        for person in (lee, mallory):
            assert not [e for e in person.messages(new) if e.sender == clinic.coach_id]


async def uninvited(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    return await upgrade(lee, old)


async def unrelated(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    return await replace(lee, old, await made(lee, initial_state=[ENCRYPTED]), clinic)


async def anothers(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    """Somebody else has made it."""
    return await replace(lee, old, await made(mallory, old, initial_state=[ENCRYPTED]), clinic, mallory)


async def open_to_all(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    return await replace(lee, old, await made(lee, old), clinic)


async def public(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    rules = {"type": "m.room.join_rules", "state_key": "", "content": {"join_rule": "public"}}
    return await replace(lee, old, await made(lee, old, initial_state=[ENCRYPTED, rules]), clinic)


async def overheard(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    new = await made(lee, old, invite=[mallory.user_id], initial_state=[ENCRYPTED])
    await mallory.joins(new)
    return await replace(lee, old, new, clinic)


async def powerless(clinic: Clinic, lee: Person, mallory: Person, old: str) -> str:
    """The coach cannot ask Kim in, who is not there yet."""
    new = await made(lee, old, initial_state=[ENCRYPTED], power_level_override={"invite": 50})
    return await replace(lee, old, new, clinic)


FLAWS = {
    "not_invited": uninvited, "unproven": unrelated, "another's": anothers,
    "open": open_to_all, "public": public, "strangers": overheard, "no_power": powerless,
}  # fmt: skip
WHY = {
    "not_invited": "I was not invited there", "unproven": "not known to come from the old one",
    "another's": "not known to come from the old one", "open": "not encrypted", "public": "Anybody could enter it",
    "strangers": "Somebody is in it who may not hear", "no_power": "I may not invite anybody",
}  # fmt: skip


@bounded()
async def test_lost_power_replaces_nothing(town: Town) -> None:
    """Who replaced the room while the coach was away had no power any more when it came back."""
    async with people(town, "lee", "kim") as (lee, kim):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(lee, CLINICIANS)
            await empower(clinic, lee, common.room)
        new = await upgrade(lee, common.room, clinic.coach_id, kim.user_id)
        await empower(clinic, lee, common.room, 0)
        async with clinic.running():
            await desk.hears(WHY["unproven"])
            assert await fresh(clinic, CLINICIANS, common.room) != new


@bounded()
async def test_danger_in_old_room_is_heard(town: Town) -> None:
    async with clinic_day(town) as scene:
        clinic, old, sam = scene.clinic, scene.talk.room, scene.talk.person
        levels = (await sam.client.room_get_state_event(old, "m.room.power_levels")).content
        await as_coach(clinic, "POST", f"rooms/{old}/upgrade", {"new_version": "12"})
        await as_coach(clinic, "PUT", f"rooms/{old}/state/m.room.power_levels/", levels)  # it may be spoken in
        await fresh(clinic, sam.user_id, old)
        moved = await clinic.enters(sam)
        await sam.say(old, POP)
        await moved.hears("Please stop all training")
        await scene.desk.hears(POP)
        assert not [said for said in sam.heard(old) if "stop all training" in said]
        await sam.client.room_leave(old)
        assert not [said for said in await scene.desk.quiet() if "has left our room" in said]
