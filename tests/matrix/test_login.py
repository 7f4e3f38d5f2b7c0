"""One login, kept safely, and one device ever after; what cannot work any more is said in a sentence."""

import asyncio
import stat
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from nio import Api
from vodozemac import Ed25519PublicKey, Ed25519Signature

from coachbot.channels.matrix import credentials, signing
from coachbot.channels.matrix.answers import LoginGone, Refused
from coachbot.channels.matrix.credentials import LoginNeeded
from tests.matrix.people import PASSWORD, Book, Person, Town, bounded


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@bounded()
async def test_only_owner_reads_login(town: Town) -> None:
    await town.log_in()
    folder = town.folder / "coach"
    assert mode(folder / "login.json") == 0o600
    assert mode(folder) == 0o700
    assert mode(folder / "keys") == 0o700


@bounded()
async def test_restart_is_same_device(town: Town) -> None:
    async with town.coach() as first:
        before = (first.client.device_id, first.client.olm.account.identity_keys)
    async with town.coach(first.position) as second:
        assert (second.client.device_id, second.client.olm.account.identity_keys) == before


@bounded()
async def test_wrong_password_is_refused(town: Town) -> None:
    town.register("coach")
    with pytest.raises(Refused, match="M_FORBIDDEN"):
        await credentials.log_in(town.url, f"@coach-{town.tag}:test", "wrong", town.folder / "coach")
    assert not (town.folder / "coach" / "login.json").exists()


@bounded()
async def test_no_login_is_said(town: Town) -> None:
    with pytest.raises(LoginNeeded, match="Log the coach in first"):
        async with town.opened(Book()):
            pass


@bounded()
async def test_second_coach_is_refused(town: Town) -> None:
    """Two coaches on the same keys would spoil them; after the first has ended, the second may start."""
    async with town.coach() as first:
        with pytest.raises(LoginNeeded, match="already running"):
            async with town.opened(Book()):
                pass
    async with town.coach(first.position):
        pass


@bounded()
async def test_new_login_ends_old_one(town: Town) -> None:
    with pytest.raises(BaseExceptionGroup) as ended:
        async with town.coach():
            await town.log_in()
            await asyncio.sleep(30)
    assert ended.group_contains(LoginGone)


@bounded()
async def test_lost_keys_mean_new_device(town: Town) -> None:
    """The key store is deleted: the start says so, and a new login is a device that all can read."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
            device = before.client.device_id
        for file in (town.folder / "coach" / "keys").iterdir():
            file.unlink()
        with pytest.raises(LoginNeeded, match="becomes a new device"):
            async with town.opened(before.book):
                pass
        await town.log_in()
        async with town.coach(before.position, before.book) as after:
            assert after.client.device_id != device
            await after.courier.send(room, "n-1", "new keys")
            await anna.hears(room, "new keys")
            await anna.say(room, "and I read you")
            await after.hears("and I read you")


@bounded()
async def test_other_keys_are_noticed(town: Town) -> None:
    """A key store that is not this device's (an old backup, a copy) is not used."""
    await town.log_in()
    login = credentials.load(town.folder / "coach")
    store = town.folder / "coach" / "keys" / f"{login.user_id}_{login.device_id}.db"
    store.unlink()
    store.touch()
    with pytest.raises(LoginNeeded, match="other keys"):
        async with town.opened(Book()):
            pass


@bounded()
async def test_dropped_device_keys_come_back(town: Town) -> None:
    """A homeserver drops the keys of a device that logged out; logged in again, it gets them again."""
    await town.log_in()
    login = credentials.load(town.folder / "coach")
    client = credentials.restore(login, town.folder / "coach")
    await client.logout()
    answer = await client.login(PASSWORD)
    await credentials.close(client)
    credentials.keep(replace(login, token=answer.access_token), town.folder / "coach")
    async with town.coach() as coach, town.person("anna") as anna:
        assert coach.client.device_id == login.device_id
        room = await coach.room_for(anna)
        await anna.say(room, "3")
        await coach.hears("3")


async def cross_signed(person: Person, user: str) -> set[str]:
    """The devices of somebody that a strict client accepts: signed by the account, checked all the way."""
    answer = await person.request("POST", "/_matrix/client/v3/keys/query", {"device_keys": {user: []}})
    master = next(iter(answer.get("master_keys", {}).get(user, {}).get("keys", {"": ""}).values()))
    own = answer.get("self_signing_keys", {}).get(user, {})
    if not master or not vouched(own, user, master):
        return set()
    signer = next(iter(own["keys"].values()))
    return {device for device, keys in answer["device_keys"][user].items() if vouched(keys, user, signer)}


def vouched(thing: dict[str, Any], user: str, key: str) -> bool:
    """Whether the key has signed it, by another implementation of Ed25519 than the one that signs."""
    signature = thing.get("signatures", {}).get(user, {}).get(f"ed25519:{key}")
    if signature is None:
        return False
    bare = {name: value for name, value in thing.items() if name not in ("signatures", "unsigned")}
    message = Api.to_canonical_json(bare).encode()
    Ed25519PublicKey.from_base64(key).verify_signature(message, Ed25519Signature.from_base64(signature))
    return True


async def strict_client(town: Town) -> str:
    """Anna's client gives its keys only to cross-signed devices: how her words reach the coach."""
    async with town.coach(grace=0.5) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        accepted = await cross_signed(anna, coach.user_id)
        for device in list(anna.client.olm.device_store.active_user_devices(coach.user_id)):
            if device.id not in accepted:
                anna.client.olm.blacklist_device(device)
        await anna.say(room, "3")
        return (await coach.gets(lambda a: a.kind in ("text", "undecryptable"))).text


@bounded()
async def test_strict_client_talks_to_coach(town: Town) -> None:
    assert await strict_client(town) == "3"


@bounded()
async def test_strict_client_is_mute_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async def nothing(*_: object) -> None:
        return None

    monkeypatch.setattr(signing, "publish", nothing)
    assert await strict_client(town) == ""


@bounded()
async def test_new_device_is_signed_by_same_account(town: Town) -> None:
    """Who trusted the account still does after a new login; keys made elsewhere are replaced by it."""
    await town.log_in()
    first = credentials.load(town.folder / "coach")
    await town.log_in()
    second = credentials.load(town.folder / "coach")
    assert (first.seeds, first.secret) == (second.seeds, second.secret)
    async with town.person("anna") as anna:
        assert await cross_signed(anna, first.user_id) == {second.device_id}
        (town.folder / "coach" / "login.json").unlink()
        await town.log_in()
        third = credentials.load(town.folder / "coach")
        assert third.seeds != first.seeds
        assert third.device_id in await cross_signed(anna, first.user_id)
