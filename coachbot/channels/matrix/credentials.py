"""Who the coach is on its homeserver: one login, kept in a file only its owner can read, used ever after."""

import json
import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from coachbot.channels import hardening
from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix import signing
from coachbot.channels.matrix.answers import MatrixError, checked, steadily

LOGIN_FILE = "login.json"
KEY_FOLDER = "keys"
LOCK_FILE = "running"
PRIVATE_FILE = 0o600
PRIVATE_FOLDER = 0o700
SECRET_BYTES = 32
PATIENCE = 60.0  # seconds to wait for a homeserver at the login


class LoginNeeded(MatrixError):
    """There is no usable login in the folder; the text says why and what to do."""


@dataclass(frozen=True)
class Login:
    """All that must be kept to be the same device again.

    `secret` guards the key store and hides who has which room; `seeds` are the three cross-signing keys as
    hex, in the order of `signing.USES`.
    """

    homeserver: str
    user_id: str
    device_id: str
    token: str
    secret: str
    seeds: tuple[str, ...]


def load(folder: Path) -> Login:
    """The login kept in the folder. Raises `LoginNeeded` if there is none."""
    try:
        kept = json.loads((folder / LOGIN_FILE).read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise LoginNeeded(f"There is no login in {folder}. Log the coach in first.") from None
    return Login(**{**kept, "seeds": tuple(kept["seeds"])})


def keep(login: Login, folder: Path) -> None:
    """Write the login so that no other account can ever read it, and that a crash leaves the old one."""
    folder.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)
    fresh = folder / (LOGIN_FILE + ".new")
    fresh.unlink(missing_ok=True)
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE_FILE)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump(asdict(login), file)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(folder / LOGIN_FILE)


async def log_in(homeserver: str, user: str, password: str, folder: Path, device_name: str = "Coach") -> Login:
    """Log in as a new device, publish and sign its keys, and keep the login in the folder.

    A new device each time: an old device id with new keys is refused by the homeserver. The secret and the
    signing keys of an earlier login are used again, so rooms are found again and people who trusted the
    account still do; the earlier login itself is ended. Raises `Refused` (a wrong password) or `Later`.
    """
    hardening.quiet()
    before = _before(folder)
    secret = before.secret if before else secrets.token_hex(SECRET_BYTES)
    seeds = before.seeds if before else tuple(secrets.token_hex(signing.SEED_BYTES) for _ in signing.USES)
    client = _client(homeserver, user, folder, secret)
    try:
        answer = checked(await steadily(lambda: client.login(password, device_name), PATIENCE))
        login = Login(homeserver, answer.user_id, answer.device_id, answer.access_token, secret, seeds)
        keep(login, folder)
        await steadily(lambda: settle(client, login, password), PATIENCE)
        if before is not None and before.user_id == login.user_id:
            await _log_out(client, before)
    finally:
        await close(client)
    return login


async def _log_out(client: Hardened, login: Login) -> None:
    """End an earlier login, so that nothing can speak with it any more; one that is gone already is fine."""
    client.access_token = login.token
    with suppress(MatrixError):
        await client.call("POST", "client", "v3", "logout", body={})


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Hold the folder: two coaches with the same keys would make each other's messages unreadable.

    Raises `LoginNeeded` if another one is running. The hold ends with the process, however that ends.
    """
    with closing(sqlite3.connect(folder / LOCK_FILE, timeout=0)) as lock:
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError:
            raise LoginNeeded(f"A coach is already running with the login in {folder}.") from None
        yield


def restore(login: Login, folder: Path) -> Hardened:
    """The client of a login kept in the folder, with its keys. Raises `LoginNeeded` if those are gone."""
    store = folder / KEY_FOLDER / f"{login.user_id}_{login.device_id}.db"
    if not store.exists():
        raise LoginNeeded(
            f"The encryption keys of the coach's device {login.device_id} are gone. Log the coach in again:"
            " it becomes a new device, and messages sent to the old one cannot be read."
        )
    client = _client(login.homeserver, login.user_id, folder, login.secret)
    client.restore_login(login.user_id, login.device_id, login.token)
    return client


async def settle(client: Hardened, login: Login, password: str | None = None) -> None:
    """See that the homeserver has this device's keys, and the account's signature under them."""
    await same_device(client)
    if client.should_upload_keys:
        checked(await client.keys_upload())
    await signing.publish(client, login.seeds, password)


async def same_device(client: Hardened) -> None:
    """Compare our keys with those the homeserver gives out for us. Raises `LoginNeeded` if they are others.

    A homeserver that has dropped them (after a logout) gets them again with the next upload.
    """
    body = {"device_keys": {client.user_id: [client.device_id]}}
    answer = await client.call("POST", "client", "v3", "keys", "query", body=body)
    published = answer.get("device_keys", {}).get(client.user_id, {}).get(client.device_id)
    if published is None:
        client.olm.account.shared = False
    elif published["keys"].get(f"ed25519:{client.device_id}") != client.olm.account.identity_keys["ed25519"]:
        raise LoginNeeded(
            f"The homeserver knows other keys for the coach's device {client.device_id}. Log in again:"
            " it becomes a new device."
        )


async def close(client: Hardened) -> None:
    """End the connection and close the key store."""
    await client.close()
    if client.store is not None:
        client.store.database.close()


def _before(folder: Path) -> Login | None:
    return load(folder) if (folder / LOGIN_FILE).exists() else None


def _client(homeserver: str, user: str, folder: Path, secret: str) -> Hardened:
    store = folder / KEY_FOLDER
    folder.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)
    store.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)
    return Hardened(homeserver, user, str(store), secret)
