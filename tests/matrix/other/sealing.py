"""What one device can seal and open: Olm and Megolm as the client-server specification has them; no network here.

It is as strict as the specification lets a client be: nothing is believed that is not signed, meant for this
device, and new.
"""

import json
from collections import defaultdict

from vodozemac import (
    Account,
    AnyOlmMessage,
    Curve25519PublicKey,
    GroupSession,
    InboundGroupSession,
    MegolmMessage,
    PreKeyMessage,
    Session,
    SessionKey,
)

from tests.matrix.other.devices import Device, Json, canonical, padded, signed, unpadded

OLM = "m.olm.v1.curve25519-aes-sha2"
MEGOLM = "m.megolm.v1.aes-sha2"


class Sealed(Exception):
    """It cannot be opened, or must not be believed."""


class Keys:
    """The account of one device, and its sessions."""

    def __init__(self, user: str, device: str) -> None:
        self.user = user
        self.device = device
        self.account = Account()
        self.ed = self.account.ed25519_key.to_base64()
        self.curve = self.account.curve25519_key.to_base64()
        self.sessions: defaultdict[str, list[Session]] = defaultdict(list)  # by the other device's Curve25519 key
        self.served: defaultdict[str, set[Device]] = defaultdict(set)  # who has the key of a room
        self._rooms: dict[str, GroupSession] = {}
        self._inbound: dict[tuple[str, str], tuple[Device, InboundGroupSession]] = {}  # by room and session
        self._used: dict[tuple[str, int], str] = {}  # the event that an index of a session was used for

    # ---- what others must know ---------------------------------------------------------------------------------

    def _sign(self, thing: Json) -> Json:
        signature = self.account.sign(canonical(thing)).to_base64()
        return {**thing, "signatures": {self.user: {f"ed25519:{self.device}": signature}}}

    def published(self) -> Json:
        """The keys of this device."""
        keys = {f"curve25519:{self.device}": self.curve, f"ed25519:{self.device}": self.ed}
        about = {"user_id": self.user, "device_id": self.device, "algorithms": [OLM, MEGOLM]}
        return self._sign({**about, "keys": keys})

    def one_time(self, count: int) -> Json:
        """So many fresh one-time keys."""
        self.account.generate_one_time_keys(count)
        fresh = self.account.one_time_keys.items()
        keys = {f"signed_curve25519:{id}": self._sign({"key": key.to_base64()}) for id, key in fresh}
        self.account.mark_keys_as_published()
        return keys

    # ---- from device to device ---------------------------------------------------------------------------------

    def meet(self, device: Device, claimed: Json) -> None:
        """Begin a session with a device of which a one-time key was claimed."""
        (key,) = claimed.values()
        if not signed(key, device.user, device.id, device.ed):
            raise Sealed(f"the one-time key of {device.id} is not its own")
        identity, once = (Curve25519PublicKey.from_base64(each) for each in (device.curve, key["key"]))
        self.sessions[device.curve].append(self.account.create_outbound_session(identity, once))

    def seal(self, device: Device, kind: str, content: Json) -> Json:
        """Something for one device alone."""
        payload = {
            "type": kind,
            "content": content,
            "sender": self.user,
            "recipient": device.user,
            "recipient_keys": {"ed25519": device.ed},
            "keys": {"ed25519": self.ed},
            "sender_device_keys": self.published(),
        }
        number, body = self.sessions[device.curve][-1].encrypt(json.dumps(payload).encode()).to_parts()
        sealed = {device.curve: {"type": number, "body": unpadded(body)}}
        return {"algorithm": OLM, "sender_key": self.curve, "ciphertext": sealed}

    def open(self, sender: Device, content: Json) -> Json:
        """What another device has sealed for this one. Raises Sealed."""
        mine = content["ciphertext"][self.curve]
        payload = json.loads(self._plain(sender, mine["type"], padded(mine["body"])))
        promised = (payload["sender"], payload["keys"]["ed25519"])
        meant = (payload["recipient"], payload["recipient_keys"]["ed25519"])
        if promised != (sender.user, sender.ed) or meant != (self.user, self.ed):
            raise Sealed("sealed by or for somebody else")
        return dict(payload)

    def _plain(self, sender: Device, number: int, body: bytes) -> bytes:
        message = AnyOlmMessage.from_parts(number, body)
        first = message.to_pre_key()
        known = self.sessions[sender.curve]
        for session in reversed(known):
            if first is None or session.session_matches(first):
                try:
                    return session.decrypt(message)
                except ValueError:  # meant for another of the sessions
                    continue
        if first is None:
            raise Sealed("no session fits")
        identity = Curve25519PublicKey.from_base64(sender.curve)
        session, plain = self.account.create_inbound_session(identity, PreKeyMessage.from_base64(unpadded(body)))
        known.append(session)
        return plain

    # ---- in a room ---------------------------------------------------------------------------------------------

    def room_key(self, room: str) -> Json:
        """The key of what this device says in the room from now on, for the devices that are to read it."""
        session = self._rooms.setdefault(room, GroupSession())
        key = session.session_key.to_base64()
        about = {"algorithm": MEGOLM, "room_id": room, "session_id": session.session_id}
        return {**about, "session_key": key}

    def renew(self, room: str) -> None:
        """Say what comes next under a new key, as clients do after a while."""
        self._rooms.pop(room, None)
        self.served.pop(room, None)

    def take_room_key(self, sender: Device, content: Json) -> None:
        """Another device's key of a room."""
        if content["algorithm"] != MEGOLM:
            raise Sealed(f"no algorithm of ours: {content['algorithm']}")
        session = InboundGroupSession(SessionKey(content["session_key"]))
        if session.session_id != content["session_id"]:
            raise Sealed("the key of another session")
        self._inbound.setdefault((content["room_id"], session.session_id), (sender, session))

    def speak(self, room: str, kind: str, content: Json) -> Json:
        """The event sealed for the room. The relation stays outside, and there alone.

        The two fields that the specification (1.3) has deprecated, `sender_key` and `device_id`, are left out.
        """
        inside = {key: value for key, value in content.items() if key != "m.relates_to"}
        outside = {key: value for key, value in content.items() if key == "m.relates_to"}
        payload = json.dumps({"type": kind, "content": inside, "room_id": room}).encode()
        session = self._rooms[room]
        text = session.encrypt(payload).to_base64()
        return {"algorithm": MEGOLM, "ciphertext": text, "session_id": session.session_id, **outside}

    def read(self, room: str, event: Json) -> Json:
        """The event opened. Raises Sealed. Its relation is the one outside, whatever stands inside."""
        content = event["content"]
        known = self._inbound.get((room, content["session_id"]))
        if known is None:
            raise Sealed("its key has not come")
        sender, session = known
        opened = session.decrypt(MegolmMessage.from_base64(content["ciphertext"]))
        place = (content["session_id"], opened.message_index)
        payload = json.loads(opened.plaintext)
        if self._used.setdefault(place, event["event_id"]) != event["event_id"]:
            raise Sealed("said before: somebody plays it again")
        if payload["room_id"] != room or sender.user != event["sender"]:
            raise Sealed("said in another room or by somebody else")
        inside = {key: value for key, value in payload["content"].items() if key != "m.relates_to"}
        outside = {key: value for key, value in content.items() if key == "m.relates_to"}
        return {**event, "type": payload["type"], "content": {**inside, **outside}}
