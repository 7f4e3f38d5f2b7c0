"""The front door of the Matrix channel: `listen` and `send`; it decides nothing."""

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from coachbot.channels import hardening
from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix import credentials
from coachbot.channels.matrix.answers import steadily
from coachbot.channels.matrix.ear import Ear, OnArrival, OnPosition
from coachbot.channels.matrix.rooms import RoomBook, Rooms
from coachbot.channels.matrix.voice import Voice, message

GRACE = 20.0  # seconds a message's key may be late before its sender is told that it cannot be read
PATIENCE = 120.0  # seconds a message waits for the homeserver before the caller is told to come back later
ROOM_WAIT = 10.0  # seconds until an invitation to a replacement must have come


class Courier:
    """Carries what people and the coach say; `rooms` makes rooms, `voice` taps, shows and signals."""

    def __init__(
        self,
        client: Hardened,
        book: RoomBook,
        secret: str,
        *,
        grace: float = GRACE,
        patience: float = PATIENCE,
        room_wait: float = ROOM_WAIT,
    ) -> None:
        self.user_id: str = client.user_id
        self.client = client
        self.room_wait = room_wait
        self.ear = Ear(client, grace)
        self.voice = Voice(client, self.ear.rounds, patience)
        self.rooms = Rooms(client, book, secret)

    async def listen(self, position: str | None, on_arrival: OnArrival, on_position: OnPosition) -> None:
        """Hand over what happens after the saved `position`, for ever.

        `on_position` gets the position that covers all arrivals handed over before it: store it with them.
        Raises `LoginGone`, and whatever the callbacks raise.
        """
        await self.ear.listen(position, on_arrival, on_position)

    async def send(
        self,
        room: str,
        txn_id: str,
        body: str,
        html: str | None = None,
        mentions: Sequence[str] = (),
        reply_to: str | None = None,
    ) -> str:
        """Say something once: the same `txn_id` again is the same message, for a day. The event id.

        `listen` must be running. Messages to one room keep the order of the calls; rooms do not wait for
        each other. Raises `NotHere` or `NotEncrypted` (use another room), `Refused` (never try again),
        `LoginGone`, `Later` (try again with the same `txn_id`, before anything else for this room), or
        `NotYet` (inside `on_arrival`: do it beside that).
        """
        return await self.voice.deliver(room, "m.room.message", message(body, html, tuple(mentions), reply_to), txn_id)


@asynccontextmanager
async def opened(folder: Path, book: RoomBook, **waits: float) -> AsyncIterator[Courier]:
    """The courier of the login kept in `folder`, closed at the end. Raises `LoginNeeded` or `LoginGone`."""
    hardening.quiet()
    login = credentials.load(folder)
    with credentials.alone(folder):
        client = credentials.restore(login, folder)
        try:
            await steadily(lambda: credentials.settle(client, login), None)
            yield Courier(client, book, login.secret, **waits)
        finally:
            await credentials.close(client)
