"""Simulated people: each has a Matrix client of their own that shares nothing with the coach's."""

import asyncio
import functools
import json
import uuid
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress
from pathlib import Path
from typing import Any

from nio import AsyncClient, AsyncClientConfig, MegolmEvent, RoomMessage
from nio.store import SqliteMemoryStore

from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.courier import Courier, opened
from coachbot.channels.matrix.credentials import log_in
from tests.matrix.homeserver import register

PASSWORD = "a password for tests"
LONG = 90.0  # seconds: no test waits longer for one thing, also on a machine that does much else
WHOLE = 300.0  # seconds: no test takes longer


def bounded(seconds: float = WHOLE) -> Callable[[Callable[..., Awaitable[None]]], Callable[..., None]]:
    """Run an asynchronous test, and fail it when it takes longer."""

    def wrap(test: Callable[..., Awaitable[None]]) -> Callable[..., None]:
        @functools.wraps(test)
        def run(*args: Any, **kwargs: Any) -> None:
            asyncio.run(asyncio.wait_for(test(*args, **kwargs), seconds))

        return run

    return wrap


async def until(true: Callable[[], Any], seconds: float = LONG) -> Any:
    """Wait for something to become true; its value."""
    async with asyncio.timeout(seconds):
        while not (value := true()):
            await asyncio.sleep(0.02)
        return value


class Book(dict[str, str]):
    """A room book in memory."""

    def set(self, key: str, room: str) -> None:
        self[key] = room


class Person:
    """Somebody with a client: joins what they are invited to, reads, writes, taps."""

    patience = LONG  # seconds they wait for one thing

    def __init__(self, client: AsyncClient) -> None:
        self.client = client
        self.user_id: str = client.user_id
        self.seen: list[tuple[str, Any]] = []  # (room, event) of all timelines, decrypted where possible, oldest first

    async def sync(self, wait: int = 0) -> None:
        """One round: read what is new, accept invitations, keep keys current, retry what was unreadable."""
        client = self.client
        response = await client.sync(wait, {"room": {"timeline": {"limit": 500}}}, full_state=not client.next_batch)
        self.seen += [(room, event) for room, info in response.rooms.join.items() for event in info.timeline.events]
        for room in list(client.invited_rooms):
            await client.join(room)
        await self.upkeep()
        self.seen = [(room, self._again(room, event)) for room, event in self.seen]

    async def upkeep(self) -> None:
        client = self.client
        if client.should_upload_keys:
            await client.keys_upload()
        if client.should_query_keys:
            with suppress(ValueError):  # the plain library stumbles over other people's malformed devices
                await client.keys_query()
        if client.should_claim_keys:
            await client.keys_claim(client.get_users_for_key_claiming())
        await client.send_to_device_messages()

    def _again(self, room: str, event: Any) -> Any:
        if not isinstance(event, MegolmEvent):
            return event
        event.room_id = room
        return self.client.olm._decrypt_megolm_no_error(event) or event

    async def sees(self, true: Callable[[], Any], seconds: float | None = None) -> Any:
        """Read until something is true; its value."""
        async with asyncio.timeout(seconds or self.patience):
            while not (value := true()):
                await self.sync(200)
        return value

    def messages(self, room: str) -> list[Any]:
        """What others said in the room, as this person's client has it; unreadable ones are MegolmEvents."""
        said = (RoomMessage, MegolmEvent)
        return [e for where, e in self.seen if where == room and isinstance(e, said) and e.sender != self.user_id]

    def heard(self, room: str) -> list[str]:
        """The words others said in the room that this person can read, in order."""
        return [e.source["content"]["body"] for e in self.messages(room) if isinstance(e, RoomMessage)]

    def said(self, room: str) -> list[str]:
        """This person's own words in the room, in order, as the homeserver has them."""
        own = [e for where, e in self.seen if where == room and e.sender == self.user_id]
        return [e.source["content"]["body"] for e in own if isinstance(e, RoomMessage)]

    async def hears(self, room: str, words: str) -> None:
        """Read until these words of somebody else are readable in the room."""
        await self.sees(lambda: words in self.heard(room))

    async def joins(self, room: str) -> None:
        """Read until in the room, with the devices of the others known."""
        await self.sees(lambda: room in self.client.rooms and self.client.rooms[room].encrypted)
        await self.upkeep()

    async def say(self, room: str, words: str, **more: Any) -> str:
        """Say something in the room, encrypted if the room is; the event id."""
        content = {"msgtype": "m.text", "body": words, **more}
        return await self.post(room, "m.room.message", content)

    async def request(self, method: str, path: str, body: dict[str, Any]) -> dict[str, Any]:
        """A plain request with this person's token; the answer, which must be a success."""
        token = {"Authorization": f"Bearer {self.client.access_token}"}
        response = await self.client.send(method, path, json.dumps(body), token)
        assert response.status == 200, await response.text()
        return dict(await response.json())

    async def whisper(self, to: str, kind: str, content: dict[str, Any]) -> None:
        """Send a to-device message to all devices of somebody."""
        path = f"/_matrix/client/v3/sendToDevice/{kind}/{uuid.uuid4()}"
        await self.request("PUT", path, {"messages": {to: {"*": content}}})

    async def claim(self, user: str, device: str) -> dict[str, Any]:
        """Use up one of a device's one-time keys, as every new sender does; the key."""
        body = {"one_time_keys": {user: {device: "signed_curve25519"}}}
        answer = await self.request("POST", "/_matrix/client/v3/keys/claim", body)
        return next(iter(answer["one_time_keys"].get(user, {}).get(device, {"": {}}).values()))

    async def post(self, room: str, kind: str, content: dict[str, Any]) -> str:
        sent = await self.client.room_send(room, kind, content, ignore_unverified_devices=True)
        return str(sent.event_id)


class Coach:
    """The coach's side of a test: a courier that listens, and what it brought."""

    def __init__(self, courier: Courier, book: Book) -> None:
        self.courier = courier
        self.client = courier.client
        self.user_id = courier.user_id
        self.book = book
        self.secret = courier.rooms._secret
        self.arrivals: list[Arrival] = []
        self.position: str | None = None
        self.rounds = 0

    async def take(self, arrival: Arrival) -> None:
        self.arrivals.append(arrival)

    async def save(self, position: str) -> None:
        self.position = position
        self.rounds += 1

    def texts(self, room: str | None = None) -> list[str]:
        return [a.text for a in self.arrivals if a.kind == "text" and room in (None, a.room)]

    async def gets(self, true: Callable[[Arrival], Any], seconds: float = LONG) -> Arrival:
        """Wait for an arrival of which something is true."""
        found: Arrival = await until(lambda: next((a for a in self.arrivals if true(a)), None), seconds)
        return found

    async def hears(self, words: str) -> Arrival:
        return await self.gets(lambda a: a.kind == "text" and a.text == words)

    async def room_for(self, person: Person) -> str:
        """The direct room with a person who has joined it, both ends ready to speak."""
        room = await self.courier.rooms.direct(person.user_id, "Coach")
        await person.joins(room)
        await self.gets(lambda a: a.kind == "joined" and a.sender == person.user_id and a.room == room)
        return room


class Town:
    """Makes the coach and the people of one test; names carry a tag, so that tests never meet."""

    def __init__(self, url: str, folder: Path, tag: str) -> None:
        self.url = url
        self.folder = folder
        self.tag = tag

    def register(self, name: str, *, admin: bool = False) -> str:
        return register(self.url, f"{name}-{self.tag}", PASSWORD, admin=admin)

    def admin(self) -> AbstractAsyncContextManager[Person]:
        """The administrator of the homeserver."""
        return self.person("admin", known=self.register("admin", admin=True))

    async def log_in(self) -> None:
        """Log the coach in; the first time the account is made."""
        user = f"@coach-{self.tag}:test"
        if not self.folder.joinpath("coach").exists():
            user = self.register("coach")
        await log_in(self.url, user, PASSWORD, self.folder / "coach")

    def opened(self, book: Book) -> AbstractAsyncContextManager[Courier]:
        return opened(self.folder / "coach", book)

    @asynccontextmanager
    async def coach(
        self, position: str | None = None, book: Book | None = None, url: str | None = None, **waits: float
    ) -> AsyncIterator[Coach]:
        """A coach that listens from the position on until the end of the block."""
        if not self.folder.joinpath("coach", "login.json").exists():
            await self.log_in()
        book = Book() if book is None else book
        async with opened(self.folder / "coach", book, **waits) as courier:
            courier.client.homeserver = url or self.url
            coach = Coach(courier, book)
            async with listening(courier.listen(position, coach.take, coach.save)):
                await until(lambda: coach.rounds)
                yield coach

    @asynccontextmanager
    async def person(self, name: str, device: str = "", known: str | None = None) -> AsyncIterator[Person]:
        """Somebody new, or a further device of somebody known."""
        user = known or self.register(name)
        config = AsyncClientConfig(store=SqliteMemoryStore, encryption_enabled=True, max_timeouts=0, request_timeout=20)
        client = AsyncClient(self.url, user, device_id=device, config=config)
        try:
            await client.login(PASSWORD)
            person = Person(client)
            await person.sync()
            yield person
        finally:
            await client.close()
            if client.store is not None:
                client.store.database.close()


@asynccontextmanager
async def listening(listen: Awaitable[None]) -> AsyncIterator[None]:
    """Let it run beside the block; what it raises ends the block."""
    async with asyncio.TaskGroup() as group:
        task = group.create_task(listen)
        yield
        task.cancel()
