"""Trouble with the homeserver makes the coach wait, not spin; it stops only when its login is gone."""

import asyncio

import pytest
from aiohttp import web
from nio import AsyncClient

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix import answers
from coachbot.channels.matrix.answers import Later, LoginGone
from tests.matrix.homeserver import Homeserver
from tests.matrix.people import Coach, Town, bounded, until
from tests.matrix.wire import Fault, broken, wire


async def revoke(coach: Coach) -> None:
    """Somebody ends the coach's session from elsewhere."""
    await coach.client.call("POST", "client", "v3", "logout", body={})


@bounded()
async def test_revoked_login_stops_with_sentence(town: Town) -> None:
    async with wire(town.url) as line:
        with pytest.raises(BaseExceptionGroup) as ended:
            async with town.coach(url=line.url) as coach:
                asked = len(line.asked)
                await revoke(coach)
                with pytest.raises(LoginGone):
                    await coach.courier.rooms.members("!any:test")
                await asyncio.sleep(30)
        assert ended.group_contains(LoginGone, match="Log the coach in again")
        assert len(line.asked) - asked < 6


@bounded()
async def test_bad_gateway_is_waited_out(town: Town) -> None:
    async with wire(town.url) as line, town.person("anna") as anna, town.coach(url=line.url) as coach:
        room = await coach.room_for(anna)
        asked = len(line.asked)
        line.fault = broken("")
        await anna.say(room, "are you there?")
        await asyncio.sleep(2.5)
        assert len(line.asked) - asked < 8
        line.fault = None
        await coach.hears("are you there?")


@bounded()
async def test_bad_gateway_spins_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "FIRST_PAUSE", 0.0)
    async with wire(town.url) as line, town.person("anna") as anna, town.coach(url=line.url) as coach:
        asked = len(line.asked)
        line.fault = broken("")
        await anna.whisper(coach.user_id, "m.test", {"ends": "the long poll"})
        await until(lambda: len(line.asked) - asked > 100)
        line.fault = None


@bounded()
async def test_message_gives_up_after_patience(town: Town) -> None:
    """A message that cannot be sent comes back to the caller, who may try again with the same id."""
    async with (
        wire(town.url) as line,
        town.coach(url=line.url, patience=0.6) as coach,
        town.person("anna") as anna,
    ):
        room = await coach.room_for(anna)
        line.fault = broken("/send/")
        with pytest.raises(Later):
            await coach.courier.send(room, "p-1", "once")
        line.fault = None
        await coach.courier.send(room, "p-1", "once")
        await anna.hears(room, "once")
        assert anna.heard(room) == ["once"]


def limited(path: str) -> Fault:
    """A fault that twice asks for fewer requests."""
    left = [2]

    async def limit(request: web.Request) -> web.Response | None:
        if path not in request.path or not left[0]:
            return None
        left[0] -= 1
        body = {"errcode": "M_LIMIT_EXCEEDED", "error": "slow down", "retry_after_ms": 700}
        return web.json_response(body, status=429)

    return limit


async def claims_are_limited(town: Town) -> None:
    """The homeserver gives no keys for a while: what was said is read all the same."""
    async with wire(town.url) as line, town.coach(url=line.url) as coach, town.person("anna") as anna:
        line.fault = limited("/keys/claim")
        room = await coach.room_for(anna)
        await coach.courier.send(room, "c-1", "in the end")
        await anna.hears(room, "in the end")


@bounded()
async def test_limited_claims_are_waited_out(town: Town) -> None:
    await claims_are_limited(town)


@bounded()
async def test_limited_claims_stop_it_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "keys_claim", AsyncClient.keys_claim)
    with pytest.raises(BaseExceptionGroup) as ended:
        await claims_are_limited(town)
    assert ended.group_contains(TypeError)


@bounded()
async def test_rate_limit_is_obeyed(town: Town) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        line.fault = limited("/send/m.room.encrypted")
        clock = asyncio.get_running_loop()
        start = clock.time()
        await coach.courier.send(room, "l-1", "in time")
        assert clock.time() - start >= 1.4
        await anna.hears(room, "in time")


@bounded()
async def test_homeserver_killed_and_restarted(town: Town) -> None:
    """Killed hard in mid-day: what was being said arrives, once, and the coach listens on by itself."""
    folder = town.folder / "own"
    folder.mkdir()
    server = Homeserver(folder / "synapse").start()
    try:
        own = Town(server.url, folder, town.tag)
        async with own.coach() as coach, own.person("anna") as anna:
            room = await coach.room_for(anna)
            await coach.courier.send(room, "h-1", "before")
            server.kill()
            sending = asyncio.create_task(coach.courier.send(room, "h-2", "during"))
            await asyncio.sleep(0.5)
            await asyncio.to_thread(server.start)
            await sending
            await anna.hears(room, "during")
            await anna.say(room, "still here")
            await coach.hears("still here")
            await until(lambda: coach.position)
            assert anna.heard(room) == ["before", "during"]
    finally:
        server.kill()
