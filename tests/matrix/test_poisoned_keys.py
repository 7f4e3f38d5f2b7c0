"""Malformed keys of one person keep nobody else from reading the coach."""

from typing import Any

import pytest
from nio.crypto import Olm

from coachbot.channels.hardening import Careful
from tests.matrix.people import Coach, Person, Town, bounded

UPLOAD = "/_matrix/client/v3/keys/upload"


async def bad_signature(mallory: Person) -> None:
    """A device whose signature is not even base64."""
    user, device = mallory.user_id, "EVIL"
    keys = {f"ed25519:{device}": "AAAA", f"curve25519:{device}": "AAAA"}
    content: dict[str, Any] = {"user_id": user, "device_id": device, "algorithms": ["m.olm.v1"], "keys": keys}
    content["signatures"] = {user: {f"ed25519:{device}": "!"}}
    await mallory.request("POST", UPLOAD, {"device_keys": content})


async def bad_one_time_key(mallory: Person) -> None:
    """One-time keys that are rightly signed and are no keys."""
    client = mallory.client
    entry: dict[str, Any] = {"key": "!"}
    signature = client.olm.sign_json(entry)
    entry["signatures"] = {mallory.user_id: {f"ed25519:{client.device_id}": signature}}
    await mallory.request("POST", UPLOAD, {"one_time_keys": {f"signed_curve25519:{n}": entry for n in range(3)}})


async def speaks(coach: Coach, mallory: Person, anna: Person) -> list[str]:
    """All three are in a room and the coach speaks: what anna can read of it."""
    room = await coach.courier.rooms.common("team", "Team", [mallory.user_id, anna.user_id])
    for person in (mallory, anna):
        await person.joins(room)
        await coach.gets(lambda a, who=person.user_id: a.kind == "joined" and a.sender == who)
    try:
        await coach.courier.send(room, "m-1", "Training at 10")
    except ValueError:  # what the library raises for a key that is none
        return []
    await anna.hears(room, "Training at 10")
    return anna.heard(room)


async def with_bad_device(town: Town) -> list[str]:
    async with (
        town.coach(patience=2.0) as coach,
        town.person("anna") as anna,
        town.person("mallory", "EVIL") as mallory,
    ):
        await bad_signature(mallory)
        return await speaks(coach, mallory, anna)


async def with_bad_key(town: Town) -> list[str]:
    async with (
        town.coach(patience=2.0) as coach,
        town.person("anna") as anna,
        town.person("mallory") as mallory,
    ):
        for _ in range(50):
            await anna.claim(mallory.user_id, mallory.client.device_id)
        await bad_one_time_key(mallory)
        return await speaks(coach, mallory, anna)


@bounded()
async def test_bad_device_keeps_nobody_out(town: Town) -> None:
    assert await with_bad_device(town) == ["Training at 10"]


@bounded()
async def test_bad_key_keeps_nobody_out(town: Town) -> None:
    assert await with_bad_key(town) == ["Training at 10"]


def switch_off(patch: pytest.MonkeyPatch) -> None:
    for rule in ("_handle_key_query", "_handle_key_claiming"):
        patch.setattr(Careful, rule, getattr(Olm, rule))


@bounded()
async def test_bad_device_silences_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    switch_off(monkeypatch)
    with pytest.raises(BaseExceptionGroup) as ended:
        await with_bad_device(town)
    assert ended.group_contains(ValueError, match="decode Ed25519 key")


@bounded()
async def test_bad_key_silences_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    switch_off(monkeypatch)
    assert await with_bad_key(town) == []
