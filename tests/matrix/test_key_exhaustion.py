"""However many new devices write while the coach is down, each can reach it."""

import time
from types import SimpleNamespace

import pytest
from nio import AsyncClient

from coachbot.channels.hardening import Hardened
from tests.matrix.people import Coach, Person, Town, bounded, until

ONE_TIME_KEYS = 50  # how many the library keeps on the homeserver
NEW_SENDERS = 130
DEVICES = ("PHONE", "TABLET", "DESK")


async def used_up(coach: Coach, mallory: Person, senders: int = ONE_TIME_KEYS) -> None:
    """As many senders as that take a key each."""
    for _ in range(senders):
        await mallory.claim(coach.user_id, coach.client.device_id)


async def busy_night(town: Town) -> list[str]:
    """130 devices are new while the coach is down, the last three write: what the coach can read of it."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        async with town.coach() as coach:
            room = await coach.room_for(anna)
        await used_up(coach, mallory, NEW_SENDERS - len(DEVICES))
        for device in DEVICES:
            async with town.person("anna", device, anna.user_id) as late:
                await late.joins(room)
                await late.say(room, f"from my {device}")
        async with town.coach(coach.position, coach.book, grace=1.0) as coach:
            await until(lambda: len([a for a in coach.arrivals if a.kind in ("text", "undecryptable")]) == len(DEVICES))
            return coach.texts(room)


@bounded()
async def test_130_new_senders_are_read(town: Town) -> None:
    assert await busy_night(town) == [f"from my {device}" for device in DEVICES]


@bounded()
async def test_senders_unread_without_fallback_key(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "note_fallback_key", lambda *_: None)
    assert await busy_night(town) == []


async def refill(town: Town) -> bool:
    """Whether the coach uploads keys again after the last one was taken."""
    async with town.person("mallory") as mallory:
        async with town.coach() as coach:
            pass
        await used_up(coach, mallory)
        async with town.coach(coach.position, coach.book) as coach:
            await mallory.whisper(coach.user_id, "m.dummy", {"ends": "the long poll"})
        return "fallback" not in await mallory.claim(coach.user_id, coach.client.device_id)


@bounded()
async def test_keys_come_back_at_zero(town: Town) -> None:
    assert await refill(town)


@bounded()
async def test_keys_stay_away_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Hardened, "_handle_olm_events", AsyncClient._handle_olm_events)
    assert not await refill(town)


@pytest.mark.parametrize(
    ("unused", "messages", "since_last", "wanted"),
    [
        ([], 3, 7200.0, True),
        (["signed_curve25519"], 3, 7200.0, False),
        (None, 3, 7200.0, False),  # a homeserver without fallback keys
        ([], 100, 7200.0, False),  # more messages for the old key are on their way
        ([], 3, 60.0, False),  # two new keys in a row would drop the one still in use
    ],
)
def test_fallback_key_changes_in_time(unused: object, messages: int, since_last: float, wanted: bool) -> None:
    client = Hardened("http://nowhere.test", "@coach:test", "", "")
    client._fallback_at = time.monotonic() - since_last
    answer = {} if unused is None else {"device_unused_fallback_key_types": unused}
    client.note_fallback_key(SimpleNamespace(to_device_events=[None] * messages), answer)
    assert client._fallback_wanted is wanted
