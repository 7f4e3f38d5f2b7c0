"""The sync loop: what happened on the homeserver, in order and readable; it answers and saves nothing."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from typing import Any

from nio import Event, MessageDirection, RoomInfo, SyncResponse

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix.answers import NO_ANSWER, MatrixError, Refused, checked, steadily
from coachbot.channels.matrix.arrival import Arrival, Me, invitation, read
from coachbot.channels.matrix.rounds import Rounds

log = logging.getLogger(__name__)

POLL_MS = 25_000  # how long the homeserver may hold a sync open
SHORT_POLL_MS = 1_000  # while somebody's words wait for their key
PAGE = 100  # events asked for at once when a gap is filled
KEPT_UNREADABLE = 1_000  # older ones are given up, so that nobody can fill the memory
FILTER: dict[str, Any] = {
    "presence": {"types": []},
    "account_data": {"types": []},
    "room": {"timeline": {"limit": 50}, "ephemeral": {"types": []}, "account_data": {"types": []}},
}

OnArrival = Callable[[Arrival], Awaitable[None]]
OnPosition = Callable[[str], Awaitable[None]]


@dataclass
class Sealed:
    """A message whose key has not come yet; `since` is the position before the sync that brought it."""

    event: Event
    room: str
    since: str
    until: float
    told: bool = False


class Ear:
    """Reads the homeserver from a position on; `grace`: seconds a key may be late before anybody is told."""

    def __init__(self, client: Hardened, grace: float) -> None:
        self.rounds = Rounds()
        self._client = client
        self._grace = grace
        self._sealed: list[Sealed] = []

    async def listen(self, position: str | None, on_arrival: OnArrival, on_position: OnPosition) -> None:
        """Hand over all that happens after `position`; the next sync goes out when both callbacks are done.

        Without a position nothing said before now counts. Raises `LoginGone`, and what the callbacks raise.
        """
        self.rounds.begin()
        me = await self._me()
        since, first = position, True
        while True:
            response = await steadily(lambda: self._sync(since, first), None)  # noqa: B023
            for arrival in await self._arrivals(response, since, me):
                await on_arrival(arrival)
            for arrival in self._late(me):
                await on_arrival(arrival)
            await on_position(self._safe_position(response.next_batch))
            since, first = response.next_batch, False
            await self._upkeep()
            await self.rounds.over()

    async def _me(self) -> Me:
        path = ("client", "v3", "profile", self._client.user_id)
        try:
            profile = await steadily(lambda: self._client.call("GET", *path), None)
        except Refused:
            profile = {}
        return Me(self._client.user_id, str(profile.get("displayname") or ""))

    async def _sync(self, since: str | None, first: bool) -> SyncResponse:
        """One sync; the first after a start asks for the whole state, else the library knows no rooms."""
        wait = SHORT_POLL_MS if any(not sealed.told for sealed in self._sealed) else POLL_MS
        if first:
            self._client.next_batch = ""  # the library drops an answer that ends where it believes to be
        return checked(
            await self._client.sync(0 if first else wait, sync_filter=FILTER, since=since, full_state=first or None)
        )

    # What happened

    async def _arrivals(self, response: SyncResponse, since: str | None, me: Me) -> list[Arrival]:
        found: list[Arrival | None] = []
        for room, info in response.rooms.leave.items():
            self._client.rooms.pop(room, None)  # the library keeps it and fails at the next send
            self._client.olm.outbound_group_sessions.pop(room, None)
            found += [self._read(event, room, since, me) for event in info.timeline.events]
        for room, info in response.rooms.join.items():
            if since is None:
                continue
            missed = await self._gap(room, info, since) if info.timeline.limited else []
            ours = self._since_we_came([*missed, *info.timeline.events])
            found += [self._read(event, room, since, me) for event in ours]
        for room, info in response.rooms.invite.items():  # last: whether a room replaces one of ours is known by now
            found.append(invitation([event.source for event in info.invite_state], room, me))
        return [arrival for arrival in found if arrival is not None]

    def _read(self, event: Any, room: str, since: str | None, me: Me) -> Arrival | None:
        """The arrival; an unreadable one is put aside, since its key may come with a later sync."""
        source = event.source
        sealed = source.get("type") == "m.room.encrypted" and "ciphertext" in source["content"]
        if not sealed or source.get("sender") == me.user_id:
            return read(source, room, me)
        until = asyncio.get_running_loop().time() + self._grace
        self._sealed = [*self._sealed, Sealed(event, room, since or "", until)][-KEPT_UNREADABLE:]
        return None

    async def _gap(self, room: str, info: RoomInfo, since: str) -> list[Event]:
        """What happened between the position and a cut timeline, oldest first."""
        missed: list[Event] = []
        start: str | None = info.timeline.prev_batch
        while start and not any(self._our_coming(event) for event in missed[-PAGE:]):
            try:
                page = await steadily(lambda: self._page(room, start, since), None)  # noqa: B023
            except Refused:  # we have been put out of the room meanwhile
                break
            missed += page.chunk
            start = page.end if page.chunk else None
        return missed[::-1]

    async def _page(self, room: str, start: str | None, end: str) -> Any:
        return checked(await self._client.room_messages(room, start, end, MessageDirection.back, PAGE))

    def _since_we_came(self, events: list[Event]) -> list[Event]:
        """Nothing from before the coach was in the room: it could not be read and was not said to it."""
        came = [place for place, event in enumerate(events) if self._our_coming(event)]
        return events[came[-1] :] if came else events

    def _our_coming(self, event: Event) -> bool:
        source: Mapping[str, Any] = event.source
        if source.get("type") != "m.room.member" or source.get("state_key") != self._client.user_id:
            return False
        before = source.get("unsigned", {}).get("prev_content", {}).get("membership")
        return bool(source["content"].get("membership") == "join" != before)  # a new name is not a coming

    # What could not be read

    def _late(self, me: Me) -> list[Arrival]:
        """The put-aside messages that can be read now, and for those overdue the fact that they cannot."""
        now = asyncio.get_running_loop().time()
        found, still = [], []
        for sealed in self._sealed:
            event = self._open(sealed)
            if event is None:
                still.append(sealed)
                if sealed.told or now < sealed.until:
                    continue
                sealed.told = True
            found.append(read((event or sealed.event).source, sealed.room, me))
        self._sealed = still
        return [arrival for arrival in found if arrival is not None]

    def _open(self, sealed: Sealed) -> Any:
        return self._client.olm.unseal(sealed.event, sealed.room)

    def _safe_position(self, newest: str) -> str:
        """Where a restart may begin: before the oldest message that waits and of which nobody was told."""
        return next((sealed.since for sealed in self._sealed if not sealed.told and sealed.since), newest)

    # Between two syncs

    async def _upkeep(self) -> None:
        """Upload, query and claim keys as the sync has made necessary; what fails is tried after the next."""
        client = self._client
        try:
            if client.should_upload_keys:
                checked(await client.keys_upload())
            await client.current_devices()
            if client.should_claim_keys:
                checked(await client.keys_claim(client.get_users_for_key_claiming()))
            await client.send_to_device_messages()
        except (MatrixError, *NO_ANSWER) as trouble:
            log.info("Keys will be tried again: %s", trouble)
