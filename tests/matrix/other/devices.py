"""Whose device is whose, by signatures over canonical JSON as the client-server specification has them."""

import base64
import json
from dataclasses import dataclass
from typing import Any

from vodozemac import Ed25519PublicKey, Ed25519Signature, SignatureException

Json = dict[str, Any]


@dataclass(frozen=True)
class Device:
    """Somebody's device; `vouched`: their account has signed it."""

    user: str
    id: str
    curve: str
    ed: str
    vouched: bool


def canonical(thing: Json) -> bytes:
    """Canonical JSON, without what a signature leaves out."""
    bare = {key: value for key, value in thing.items() if key not in ("signatures", "unsigned")}
    return json.dumps(bare, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def signed(thing: Json, user: str, name: str, key: str) -> bool:
    """Whether the thing carries a good signature of the user's Ed25519 key with this name."""
    signature = thing.get("signatures", {}).get(user, {}).get(f"ed25519:{name}")
    if signature is None:
        return False
    try:
        Ed25519PublicKey.from_base64(key).verify_signature(canonical(thing), Ed25519Signature.from_base64(signature))
    except SignatureException:
        return False
    return True


def devices(answer: Json, user: str) -> list[Device]:
    """The devices of a user in an answer to a key query; one without its own good signature does not count."""
    own = _vouching(answer, user)
    found = []
    for id, keys in answer["device_keys"].get(user, {}).items():
        curve, ed = (keys["keys"][f"{kind}:{id}"] for kind in ("curve25519", "ed25519"))
        if (keys["user_id"], keys["device_id"]) == (user, id) and signed(keys, user, id, ed):
            found.append(Device(user, id, curve, ed, bool(own) and signed(keys, user, own, own)))
    return found


def _vouching(answer: Json, user: str) -> str:
    """The key with which the account signs its devices; empty when its master key has not signed it."""
    master, own = (answer.get(f"{use}_keys", {}).get(user, {}) for use in ("master", "self_signing"))
    if not master or not own:
        return ""
    (above,), (below,) = master["keys"].values(), own["keys"].values()
    return str(below) if signed(own, user, above, above) else ""


def unpadded(data: bytes) -> str:
    """Base64 as Matrix writes it."""
    return base64.b64encode(data).decode().rstrip("=")


def padded(text: str) -> bytes:
    """The bytes of such Base64, also of the kind that is safe in an address."""
    return base64.b64decode(text.replace("-", "+").replace("_", "/") + "=" * (-len(text) % 4))
