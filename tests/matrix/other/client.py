"""Somebody whose client is made of plain calls of the client-server specification: nothing of the coach's library.

It can be put into a `Talk` in the place of a `Person`: both speak with the same words.
"""

import asyncio
import hashlib
import uuid
from collections import defaultdict
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from aiohttp import ClientSession
from Crypto.Cipher import AES

from tests.matrix.other.devices import Device, Json, devices, padded
from tests.matrix.other.sealing import OLM, Keys, Sealed

PATIENCE = 30.0  # seconds for one thing
KEYS = 40  # one-time keys to be claimed by others
FEW = 20  # fewer than that: more are uploaded
FILTER = '{"room": {"timeline": {"limit": 500}}}'
CLIENT = "/_matrix/client/v3"


@dataclass(frozen=True)
class Said:
    """An event as it was sent, and as it reads once opened; the same where nothing was sealed or it stays so."""

    sent: Json
    source: Json

    @property
    def event_id(self) -> str:
        return str(self.sent["event_id"])

    @property
    def sender(self) -> str:
        return str(self.sent["sender"])


class Plain:
    """One device: joins what it is invited to, reads, writes, taps. It trusts devices vouched for by their account."""

    def __init__(self, session: ClientSession, url: str, login: Json) -> None:
        self.user_id: str = login["user_id"]
        self.keys = Keys(self.user_id, login["device_id"])
        self.seen: list[tuple[str, Said]] = []  # of all timelines, oldest first
        self.sealed_rooms: set[str] = set()
        self._session = session
        self._url = url
        self._headers = {"Authorization": f"Bearer {login['access_token']}"}
        self._since = ""
        self._devices: defaultdict[str, list[Device]] = defaultdict(list)

    async def ask(self, method: str, path: str, body: Json | None = None, **query: str) -> Json:
        """One request; the answer, which must be a success."""
        where = self._url + path
        async with self._session.request(method, where, json=body, params=query, headers=self._headers) as response:
            answer = await response.json()
            assert response.status == 200, f"{method} {path}: {answer}"
            return dict(answer)

    # ---- reading -----------------------------------------------------------------------------------------------

    async def sync(self, wait: int = 0) -> None:
        """One round: keys first, then what is new; invitations are accepted."""
        since = {"since": self._since} if self._since else {}
        news = await self.ask("GET", f"{CLIENT}/sync", timeout=str(wait), filter=FILTER, **since)
        self._since = news["next_batch"]
        await self._learn(news.get("device_lists", {}).get("changed", []))
        for event in news.get("to_device", {}).get("events", []):
            await self._take(event)
        rooms = news.get("rooms", {})
        for room, info in rooms.get("join", {}).items():
            timeline = info["timeline"]["events"]
            states = [*info.get("state", {}).get("events", []), *timeline]
            self.sealed_rooms |= {room for event in states if event["type"] == "m.room.encryption"}
            self.seen += [(room, Said(event, event)) for event in timeline]
        for room in rooms.get("invite", {}):
            await self.ask("POST", f"{CLIENT}/join/{quote(room)}", {})
        if news.get("device_one_time_keys_count", {}).get("signed_curve25519", 0) < FEW:
            await self._upload({"one_time_keys": self.keys.one_time(KEYS)})
        self.seen = [(room, self._opened(room, said)) for room, said in self.seen]

    def _opened(self, room: str, said: Said) -> Said:
        if said.source["type"] != "m.room.encrypted" or said.sender == self.user_id:
            return said
        try:
            return Said(said.sent, self.keys.read(room, said.sent))
        except Sealed:  # its key may come later
            return said

    async def _take(self, event: Json) -> None:
        """A message between devices: the key of a room, believed only of a device that its account vouches for."""
        content = event["content"]
        if event["type"] != "m.room.encrypted" or content["algorithm"] != OLM:
            return
        sender = await self._device(event["sender"], content["sender_key"])
        payload = self.keys.open(sender, content)
        if payload["type"] == "m.room_key" and sender.vouched:
            self.keys.take_room_key(sender, payload["content"])

    async def _device(self, user: str, curve: str) -> Device:
        for _ in range(2):
            for device in self._devices[user]:
                if device.curve == curve:
                    return device
            await self._learn([user])
        raise AssertionError(f"{user} has no device with this key")

    async def _learn(self, users: list[str]) -> None:
        if users:
            answer = await self.ask("POST", f"{CLIENT}/keys/query", {"device_keys": {user: [] for user in users}})
            self._devices.update({user: devices(answer, user) for user in users})

    async def sees(self, true: Callable[[], Any], seconds: float = PATIENCE) -> Any:
        """Read until something is true; its value."""
        async with asyncio.timeout(seconds):
            while not (value := true()):
                await self.sync(200)
        return value

    def messages(self, room: str) -> list[Said]:
        """What others said in the room; what could not be opened is among them."""
        kinds = ("m.room.message", "m.room.encrypted")
        return [s for where, s in self.seen if where == room and s.source["type"] in kinds and s.sender != self.user_id]

    def heard(self, room: str) -> list[str]:
        """The words others said in the room that this client can read, in order."""
        return [s.source["content"]["body"] for s in self.messages(room) if s.source["type"] == "m.room.message"]

    async def joins(self, room: str) -> None:
        """Read until in the room."""
        await self.sees(lambda: room in self.sealed_rooms)

    async def picture(self, content: Json) -> bytes:
        """The picture of a message, fetched and decrypted as the specification says."""
        file = content["file"]
        where = f"{self._url}/_matrix/client/v1/media/download/{file['url'].removeprefix('mxc://')}"
        async with self._session.get(where, headers=self._headers) as response:
            sealed = await response.read()
        assert hashlib.sha256(sealed).digest() == padded(file["hashes"]["sha256"])
        counter = padded(file["iv"])
        key = padded(file["key"]["k"])
        return AES.new(key, AES.MODE_CTR, nonce=counter[:8], initial_value=counter[8:]).decrypt(sealed)

    # ---- speaking ----------------------------------------------------------------------------------------------

    async def say(self, room: str, words: str, **more: Any) -> str:
        """Say something in the room; the event id."""
        return await self.post(room, "m.room.message", {"msgtype": "m.text", "body": words, **more})

    async def post(self, room: str, kind: str, content: Json) -> str:
        """Send one event, sealed unless it is a reaction, which never is; the event id."""
        if room in self.sealed_rooms and kind != "m.reaction":
            await self._share(room)
            kind, content = "m.room.encrypted", self.keys.speak(room, kind, content)
        answer = await self.ask("PUT", f"{CLIENT}/rooms/{quote(room)}/send/{kind}/{uuid.uuid4()}", content)
        return str(answer["event_id"])

    async def _share(self, room: str) -> None:
        """Give the key of the room to each device in it that has not got it."""
        members = (await self.ask("GET", f"{CLIENT}/rooms/{quote(room)}/joined_members"))["joined"]
        await self._learn([user for user in members if not self._devices[user]])
        there = {device for user in members for device in self._devices[user] if device.id != self.keys.device}
        fresh = there - self.keys.served[room]
        await self._claim([device for device in fresh if not self.keys.sessions[device.curve]])
        key = self.keys.room_key(room)
        sealed: defaultdict[str, Json] = defaultdict(dict)
        for device in fresh:
            sealed[device.user][device.id] = self.keys.seal(device, "m.room_key", key)
        if sealed:
            await self.ask("PUT", f"{CLIENT}/sendToDevice/m.room.encrypted/{uuid.uuid4()}", {"messages": sealed})
            self.keys.served[room] |= fresh

    async def _claim(self, wanted: list[Device]) -> None:
        if not wanted:
            return
        body: defaultdict[str, Json] = defaultdict(dict)
        for device in wanted:
            body[device.user][device.id] = "signed_curve25519"
        answer = await self.ask("POST", f"{CLIENT}/keys/claim", {"one_time_keys": body})
        for device in wanted:
            self.keys.meet(device, answer["one_time_keys"][device.user][device.id])

    async def _upload(self, keys: Json) -> None:
        await self.ask("POST", f"{CLIENT}/keys/upload", {"device_keys": self.keys.published(), **keys})


@asynccontextmanager
async def plain(url: str, user: str, password: str) -> AsyncIterator[Plain]:
    """The user logged in on a new device."""
    async with ClientSession() as session:
        who = {"type": "m.id.user", "user": user}
        login = {"type": "m.login.password", "identifier": who, "password": password}
        async with session.post(f"{url}{CLIENT}/login", json=login) as response:
            assert response.status == 200, await response.text()
            client = Plain(session, url, await response.json())
        await client.sync()
        yield client
