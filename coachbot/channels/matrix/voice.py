"""What goes out: every message once, in order inside its room, encrypted, and readable at the other end."""

import asyncio
import re
from collections import defaultdict
from collections.abc import Mapping
from html import escape
from typing import Any

from nio import MessageDirection
from nio.crypto import encrypt_attachment

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix.answers import NO_ANSWER, OK, MatrixError, Refused, checked, refusal, steadily
from coachbot.channels.matrix.rounds import Rounds

ROOMS_AT_ONCE = 20  # measured: more brings nothing with Synapse on two cores
TYPING_MS = 5_000
LOOK_BACK_PAGES = 10
PAGE = 100
PNG_SIZE = slice(16, 24)  # width and height in the header of a PNG file, four bytes each (RFC 2083, 4.1.1)

Json = dict[str, Any]


class NotHere(MatrixError):
    """The coach is not in the room, or it is gone."""


class NotEncrypted(MatrixError):
    """The room is not encrypted; nothing is said there."""


def message(body: str, html: str | None = None, mentions: tuple[str, ...] = (), reply_to: str | None = None) -> Json:
    """The content of a text message. The plain body is what counts; the html must say the same."""
    content: Json = {
        "msgtype": "m.text",
        "body": body,
        "m.mentions": {"user_ids": list(mentions)} if mentions else {},
    }
    if html is not None:
        content |= {"format": "org.matrix.custom.html", "formatted_body": html}
    if reply_to is not None:
        content["m.relates_to"] = {"m.in_reply_to": {"event_id": reply_to}}
    return content


def html(body: str, people: Mapping[str, str] | None = None) -> str:
    """The body as safe html: no markup but line breaks, and people (shown name -> Matrix id) as links."""
    links = {
        escape(name): f'<a href="https://matrix.to/#/{escape(user)}">{escape(name)}</a>'
        for name, user in (people or {}).items()
    }
    safe = escape(body)
    if links:
        longest_first = sorted(links, key=len, reverse=True)
        safe = re.sub("|".join(map(re.escape, longest_first)), lambda name: links[name[0]], safe)
    return safe.replace("\n", "<br/>")


class Voice:
    """Sends with the caller's own transaction id: the same id to the same room is one message.

    `rounds` tells of each sync; a room just made is known only then.
    """

    def __init__(self, client: Hardened, rounds: Rounds, patience: float) -> None:
        self._client = client
        self._rounds = rounds
        self._patience = patience
        self._turn: defaultdict[str, asyncio.Lock] = defaultdict(asyncio.Lock)
        self._gate = asyncio.Semaphore(ROOMS_AT_ONCE)

    async def deliver(self, room: str, kind: str, content: Json, txn_id: str) -> str:
        """Send one event; its id. Raises `NotHere`, `NotEncrypted`, `Refused`, `LoginGone` or `Later`."""
        async with self._turn[room]:
            try:
                return await steadily(lambda: self._once(room, kind, content, txn_id), self._patience)
            except Refused as no:
                if no.code != "M_FORBIDDEN":
                    raise
                self._client.rooms.pop(room, None)
                raise NotHere(f"The coach may not speak in {room} any more.") from no

    async def tap(self, room: str, txn_id: str, event_id: str, key: str) -> None:
        """Put a reaction under an event. Never encrypted, so never anything private."""
        content = {"m.relates_to": {"rel_type": "m.annotation", "event_id": event_id, "key": key}}
        try:
            await self.deliver(room, "m.reaction", content, txn_id)
        except Refused as no:
            if no.code != "M_DUPLICATE_ANNOTATION":  # it is there: an earlier try came through
                raise

    async def picture(self, room: str, txn_id: str, png: bytes, words: str, name: str) -> str:
        """Send a picture, encrypted before it leaves, with `words` that say the same to who cannot see it."""
        cipher, keys = encrypt_attachment(png)
        url = await steadily(lambda: self._upload(cipher), self._patience)
        width, height = (int.from_bytes(part) for part in (png[PNG_SIZE][:4], png[PNG_SIZE][4:]))
        content = {
            "msgtype": "m.image",
            "body": words,
            "filename": name,
            "file": {**keys, "url": url},
            "info": {"mimetype": "image/png", "size": len(png), "w": width, "h": height},
            "m.mentions": {},
        }
        return await self.deliver(room, "m.room.message", content, txn_id)

    async def plainly(self, room: str, txn_id: str, body: str) -> None:
        """Say what everybody may read in a room that is not encrypted: never a word about anybody."""
        path = ("client", "v3", "rooms", room, "send", "m.room.message", txn_id)
        await steadily(lambda: self._client.call("PUT", *path, body=message(body)), self._patience)

    async def find(self, room: str, txn_id: str) -> str | None:
        """The event this device has sent with the id, if it is among the room's latest 1,000.

        The homeserver forgets ids after a day: look here before an older message is sent again.
        """
        start = ""
        for _ in range(LOOK_BACK_PAGES):
            page = await steadily(lambda: self._page(room, start), self._patience)  # noqa: B023
            for event in page.chunk:
                if event.source.get("unsigned", {}).get("transaction_id") == txn_id:
                    return str(event.event_id)
            if not page.end:
                break
            start = page.end
        return None

    def unreachable(self, room: str) -> frozenset[str]:
        """The people in the room none of whose devices can read what is sent now: tell them another way."""
        return self._client.unreachable(room)

    async def typing(self, room: str, on: bool) -> None:
        """Show, or stop showing, that an answer is coming; not worth a second try."""
        user = self._client.user_id
        body = {"typing": True, "timeout": TYPING_MS} if on else {"typing": False}
        await self._gladly("PUT", ("client", "v3", "rooms", room, "typing", user), body)

    async def seen(self, room: str, event_id: str) -> None:
        """Show that everything up to the event has been read; not worth a second try."""
        await self._gladly("POST", ("client", "v3", "rooms", room, "receipt", "m.read", event_id), {})

    async def _gladly(self, method: str, path: tuple[str, ...], body: Json) -> None:
        try:
            await self._client.call(method, *path, body=body)
        except (MatrixError, *NO_ANSWER):
            return

    async def _once(self, room: str, kind: str, content: Json, txn_id: str) -> str:
        await self._known(room)
        async with self._gate:
            sent = await self._client.room_send(room, kind, dict(content), txn_id, ignore_unverified_devices=True)
        return str(checked(sent).event_id)

    async def _known(self, room: str) -> None:
        """Wait for the sync that brings a room of the coach; refuse one that is none, or is not encrypted."""
        rooms = self._client.rooms
        if room not in rooms and not await self._am_in(room):
            raise NotHere(f"The coach is not in {room}.")
        if not await self._rounds.bring(lambda: room in rooms, self._patience):
            raise NotHere(f"The homeserver does not show {room}.")
        if not rooms[room].encrypted:
            raise NotEncrypted(f"{room} is not encrypted: turn encryption on in its settings.")

    async def _am_in(self, room: str) -> bool:
        return room in (await self._client.call("GET", "client", "v3", "joined_rooms"))["joined_rooms"]

    async def _upload(self, cipher: bytes) -> str:
        headers = {
            "Authorization": f"Bearer {self._client.access_token}",
            "Content-Type": "application/octet-stream",
        }
        response = await self._client.send("POST", "/_matrix/media/v3/upload", cipher, headers)
        answer = await self._client.parse_body(response)
        if response.status != OK:
            raise refusal(response.status, answer)
        return str(answer["content_uri"])

    async def _page(self, room: str, start: str) -> Any:
        return checked(await self._client.room_messages(room, start or None, None, MessageDirection.back, PAGE))
