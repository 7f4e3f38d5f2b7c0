"""Cross-signing: the account vouches for the coach's device, for clients which accept no others.

The three keys and the two requests are those of the client-server specification, "Cross-signing"; the library
has no call for them. No other account is ever signed here.
"""

from collections.abc import Mapping
from typing import Any

from Crypto.PublicKey import ECC
from Crypto.Signature import eddsa
from nio import Api
from unpaddedbase64 import encode_base64

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix.answers import OK, Refused, refusal

USES = ("master", "self_signing", "user_signing")
SEED_BYTES = 32  # an Ed25519 seed, RFC 8032
ASKS_FOR_PASSWORD = 401  # HTTP: the homeserver wants the person once more, "User-interactive authentication"
FORBIDDEN = "M_FORBIDDEN"

Json = dict[str, Any]


async def publish(client: Hardened, seeds: tuple[str, ...], password: str | None = None) -> None:
    """Publish the account's signing keys and sign this device with them, whatever of it is still missing.

    Raises `Refused` if other keys stand there and the homeserver wants the password before it replaces them.
    """
    keys = {use: _key(seed) for use, seed in zip(USES, seeds, strict=True)}
    user, device = client.user_id, client.device_id
    known = await client.call("POST", "client", "v3", "keys", "query", body={"device_keys": {user: [device]}})
    master = known.get("master_keys", {}).get(user, {}).get("keys", {})
    if _public(keys["master"]) not in master.values():
        await _upload(client, keys, password)
    published = known["device_keys"][user][device]
    if f"ed25519:{_public(keys['self_signing'])}" not in published["signatures"][user]:
        await _sign_device(client, published, keys["self_signing"])


def signed(thing: Mapping[str, Any], user: str, key_id: str, signature: str) -> Json:
    """The thing with one more signature beside those it carries."""
    others = thing.get("signatures", {})
    mine = {**others.get(user, {}), f"ed25519:{key_id}": signature}
    return {**thing, "signatures": {**others, user: mine}}


def sign(thing: Mapping[str, Any], user: str, seed: ECC.EccKey) -> Json:
    """The thing signed by a cross-signing key: over canonical JSON, without `signatures` and `unsigned`."""
    bare = {key: value for key, value in thing.items() if key not in ("signatures", "unsigned")}
    signature = eddsa.new(seed, "rfc8032").sign(Api.to_canonical_json(bare).encode())
    return signed(thing, user, _public(seed), encode_base64(signature))


async def _upload(client: Hardened, keys: Mapping[str, ECC.EccKey], password: str | None) -> None:
    """Upload the three keys; the homeserver may want the password once more before it replaces older ones."""
    user = client.user_id
    master = _shown(user, "master", keys["master"])
    body: Json = {"master_key": signed(master, user, client.device_id, client.olm.sign_json(master))}
    for use in USES[1:]:
        body[f"{use}_key"] = sign(_shown(user, use, keys[use]), user, keys["master"])
    path = ("client", "v3", "keys", "device_signing", "upload")
    status, answer = await client.ask("POST", *path, body=body)
    if status == ASKS_FOR_PASSWORD and password is not None and "session" in answer:
        who = {"type": "m.id.user", "user": user}
        auth = {
            "type": "m.login.password",
            "identifier": who,
            "password": password,
            "session": answer["session"],
        }
        await client.call("POST", *path, body={**body, "auth": auth})
    elif status == ASKS_FOR_PASSWORD:
        raise Refused(FORBIDDEN, "the account has other signing keys; log the coach in again to replace them")
    elif status != OK:
        raise refusal(status, answer)


async def _sign_device(client: Hardened, device: Json, key: ECC.EccKey) -> None:
    ours = sign({name: value for name, value in device.items() if name != "unsigned"}, client.user_id, key)
    body = {client.user_id: {client.device_id: ours}}
    done = await client.call("POST", "client", "v3", "keys", "signatures", "upload", body=body)
    if done.get("failures"):
        raise Refused(FORBIDDEN, "the signature of the coach's device was not accepted")


def _key(seed: str) -> ECC.EccKey:
    return ECC.construct(curve="Ed25519", seed=bytes.fromhex(seed))


def _public(key: ECC.EccKey) -> str:
    return str(encode_base64(key.public_key().export_key(format="raw")))


def _shown(user: str, use: str, key: ECC.EccKey) -> Json:
    public = _public(key)
    return {"user_id": user, "usage": [use], "keys": {f"ed25519:{public}": public}}
