"""A malformed to-device message from a stranger takes nothing down with it."""

from typing import Any

import pytest
from nio.crypto import Olm

from coachbot.channels.hardening import Careful
from tests.matrix.people import Town, bounded

OLM = "m.olm.v1.curve25519-aes-sha2"


def poison(key: str) -> list[dict[str, Any]]:
    """Encrypted messages no honest client sends, addressed to the device with this key."""
    bodies: list[Any] = [
        {"type": 0, "body": "!"},
        {"type": 0, "body": "AwoA"},
        {"type": 1, "body": "AA"},
        {"type": 0},
        {},
    ]
    return [{"algorithm": OLM, "sender_key": key, "ciphertext": {key: body}} for body in bodies]


async def poisoned_day(town: Town) -> None:
    """Poison and an honest room key reach the coach in one batch; the words under the key must be read."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        async with town.coach() as coach:
            room = await coach.room_for(anna)
            key = coach.client.olm.account.identity_keys["curve25519"]
        for content in poison(key):
            await mallory.whisper(coach.user_id, "m.room.encrypted", content)
        await anna.say(room, "3, and nothing sudden")
        async with town.coach(coach.position, coach.book, patience=2.0) as coach:
            await coach.hears("3, and nothing sudden")


@bounded()
async def test_honest_keys_survive_poison(town: Town) -> None:
    await poisoned_day(town)


@bounded()
async def test_poison_kills_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Careful, "survive", Olm.handle_to_device_event)
    with pytest.raises(BaseExceptionGroup):
        await poisoned_day(town)
