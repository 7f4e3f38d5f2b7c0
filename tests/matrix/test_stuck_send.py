"""A send that was broken off, or never answered, does not block the room."""

import asyncio
from dataclasses import replace

import pytest
from aiohttp import web

from coachbot.channels.hardening import Hardened
from tests.matrix.people import LONG, Coach, Town, bounded
from tests.matrix.wire import Fault, Wire, hanging, wire


def second_claim_hangs() -> Fault:
    """The library's own claim comes after ours, and is the one that leaves the room locked."""
    seen: list[str] = []

    async def fault(request: web.Request) -> web.Response | None:
        if "keys/claim" in request.path:
            seen.append(request.path)
            if len(seen) > 1:
                await asyncio.sleep(3600)
        return None

    return fault


async def broken_off(town: Town, coach: Coach, line: Wire, seconds: float) -> bool:
    """One send is broken off while it asks for keys: whether the next one reaches the room."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        room = await coach.room_for(anna)
        for _ in range(50):
            await mallory.claim(anna.user_id, anna.client.device_id)
        line.fault = second_claim_hangs()
        with pytest.raises(TimeoutError):
            await asyncio.wait_for(coach.courier.send(room, "s-1", "lost"), 1.0)
        line.fault = None
        try:
            await asyncio.wait_for(coach.courier.send(room, "s-2", "heard"), seconds)
        except TimeoutError:
            return False
        return True


@bounded()
async def test_next_send_goes_through(town: Town) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert await broken_off(town, coach, line, LONG)


@bounded()
async def test_room_is_blocked_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "release", lambda *_: None)
    async with wire(town.url) as line, town.coach(url=line.url) as coach:
        assert not await broken_off(town, coach, line, 3.0)


@bounded()
async def test_unanswered_send_is_repeated(town: Town) -> None:
    async with wire(town.url) as line, town.coach(url=line.url) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        coach.client.config = replace(coach.client.config, request_timeout=0.5)
        line.fault = hanging("/send/m.room.encrypted")
        sending = asyncio.create_task(coach.courier.send(room, "s-1", "after all"))
        await asyncio.sleep(1.2)
        line.fault = None
        await sending
        await anna.hears(room, "after all")
        assert anna.heard(room) == ["after all"]


@bounded()
async def test_unanswered_first_sync_is_repeated(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coachbot.channels.hardening.REQUEST_SECONDS", 0.5)
    await town.log_in()
    async with wire(town.url) as line:
        line.fault = hanging("/sync")
        asyncio.get_running_loop().call_later(1.2, setattr, line, "fault", None)
        async with town.coach(url=line.url) as coach:
            assert coach.position
        assert sum("/sync" in asked for asked in line.asked) >= 3
