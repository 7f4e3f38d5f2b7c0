"""A room that was upgraded is followed when that is safe, and left behind when it is not; nothing is said twice."""

import json
import sqlite3
from datetime import timedelta
from itertools import product
from typing import Any

import pytest
from aiohttp import ClientSession

from coachbot.channels.matrix import succession
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.serve.moves import Moves
from tests.matrix.clinic import Clinic, Talk, people
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


def count(said: list[str]) -> int:
    return sum(PAIN in each for each in said)


@bounded()
async def test_own_upgrade_is_followed(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    """The operator upgrades an athlete's room in the coach's name: the talk goes on there, the words in it too.

    The second time the coach dies after it read of that and before it moved, and the old room may be spoken in.
    """
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            talk, desk = scene.talk, scene.desk
            await talk.quiet()
            before = len(sam.messages(talk.room))
            answer = await as_coach(clinic, "POST", f"rooms/{talk.room}/upgrade", {"new_version": "12"})
            assert await fresh(clinic, sam.user_id, talk.room) == answer["replacement_room"]
            moved = await clinic.enters(sam)
            await morning(Scene(clinic, desk, moved))
            await moved.say("2 no", "1. Two-leg slider")
            await talk.quiet()
            assert len(sam.messages(talk.room)) == before
            assert count(sam.heard(moved.room)) == 1

            monkeypatch.setattr(Moves, "_follow", lambda *_: until(lambda: False))
            old, position = moved.room, clinic.kept("matrix position")
            levels = (await sam.client.room_get_state_event(old, "m.room.power_levels")).content
            await as_coach(clinic, "POST", f"rooms/{old}/upgrade", {"new_version": "12"})
            await until(lambda: clinic.kept(f"matrix replaced {old}"))
            await until(lambda: clinic.kept("matrix position") != position)
        monkeypatch.undo()
        await as_coach(clinic, "PUT", f"rooms/{old}/state/m.room.power_levels/", levels)  # it may be spoken in
        async with clinic.running():
            await fresh(clinic, sam.user_id, old)
            moved = await clinic.enters(sam)
            await moved.say("help", "correct")
            await sam.say(old, POP)
            await moved.hears("Please stop all training")
            await desk.hears(POP)
            assert not [said for said in sam.heard(old) if "stop all training" in said]
            await sam.client.room_leave(old)
            assert not [said for said in await desk.quiet() if "has left our room" in said]


@bounded()
async def test_clinicians_room_is_followed(town: Town) -> None:
    """A clinician upgrades it, to an older version and to one in which who made a room has power unasked."""
    async with people(town, "kim") as (kim,), clinic_day(town, kim) as scene:
        clinic, lee = scene.clinic, scene.desk.person
        both = [await clinic.enters(person, CLINICIANS) for person in (lee, kim)]
        await empower(clinic, lee, both[0].room)
        for version, danger in (("11", POP), ("12", "heard a crack")):
            old = both[0].room
            new = await upgrade(lee, old, clinic.coach_id, kim.user_id, version=version)
            assert await fresh(clinic, CLINICIANS, old) == new
            both = [await clinic.enters(person, CLINICIANS) for person in (lee, kim)]
            await scene.talk.say(danger, "Please stop all training")
            for each in both:
                await each.hears(danger)
            await both[1].tap(danger, "✅")
            await scene.talk.hears("has read the message about you")
            assert not [said for said in lee.heard(old) if danger in said]


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


async def replaced_while_away(clinic: Clinic, talk: Talk) -> None:
    await as_coach(clinic, "POST", f"rooms/{talk.room}/upgrade", {"new_version": "12"})


async def moved_in(clinic: Clinic, talk: Talk) -> Talk:
    """The coach, which is back, follows; so does the athlete."""
    await fresh(clinic, talk.person.user_id, talk.room)
    return await clinic.enters(talk.person)


@bounded()
async def test_question_is_asked_in_one_room(town: Town) -> None:
    """The room was replaced while the coach was away: what it had said stays said, what waited is said in the new."""
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            await morning(scene)
            await scene.talk.quiet()
        with sqlite3.connect(town.folder / "coach.sqlite") as file:  # as if killed before it noted that it had asked
            file.execute("update outbox set sent_at = null where seq = (select max(seq) from outbox)")
        await replaced_while_away(clinic, scene.talk)
        clinic.clock.ahead += timedelta(minutes=1)
        async with clinic.running():
            second = await moved_in(clinic, scene.talk)
            await second.say("2", "sudden sharp pain")
            await second.say("no", "Today")
            await second.quiet()
        assert [count(sam.heard(talk.room)) for talk in (scene.talk, second)] == [1, 0]
        await replaced_while_away(clinic, second)
        clinic.clock.to(FIRST_MORNING + 1, 8, 1)
        async with clinic.running():
            third = await moved_in(clinic, second)
            await third.hears(PAIN)
            await second.quiet()
        assert [count(sam.heard(talk.room)) for talk in (scene.talk, second, third)] == [1, 0, 1]


@bounded()
async def test_unfit_rooms_are_not_followed(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    """The coach goes on in a room of its own making, tells the clinicians why, and says nothing in the other."""
    monkeypatch.setattr(succession, "SETTLES", 0.1)  # each room that it looks into here is whole before it is named
    async with people(town, "kim", "mallory") as (kim, mallory), cast(town, kim) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            common, unfit = await scene.common(), []
            for flaw, why in FLAWS:
                await empower(clinic, lee, common.room)
                unfit.append(await flaw(clinic, lee, mallory, common.room))
                common = await passed_over(scene, common, unfit[-1], why)
        async with clinic.running(room_wait=1.0):
            await empower(clinic, lee, common.room)
            unfit.append(await upgrade(lee, common.room))
            common = await passed_over(scene, common, unfit[-1], "I was not invited there")
        await empower(clinic, lee, common.room)
        unfit.append(await upgrade(lee, common.room, clinic.coach_id, kim.user_id))
        await empower(clinic, lee, common.room, 0)  # when the coach comes back, lee has no power any more
        async with clinic.running():
            common = await passed_over(scene, common, unfit[-1], UNPROVEN)
            await common.quiet()
            await Talk(mallory, unfit[0]).quiet()
        for person, room in product((lee, mallory), unfit):
            assert not [e for e in person.messages(room) if e.sender == clinic.coach_id]


async def passed_over(scene: Scene, old: Talk, unfit: str, why: str) -> Talk:
    """The clinicians are told why, and the common talk goes on in a room that is neither the old nor the unfit one."""
    clinic = scene.clinic
    await scene.desk.hears(why)
    assert await fresh(clinic, CLINICIANS, old.room) != unfit
    talk = await scene.common()
    await red_flag(scene)
    await talk.hears(POP)
    return talk


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


UNPROVEN = "not known to come from the old one"
FLAWS = (
    (unrelated, UNPROVEN),
    (anothers, UNPROVEN),
    (open_to_all, "not encrypted"),
    (public, "Anybody could enter it"),
    (overheard, "Somebody is in it who may not hear"),
    (powerless, "I may not invite anybody"),
)
