"""Whether a replaced room really goes on in another one, by the homeserver's word; it says nothing in either."""

import asyncio
from collections.abc import Mapping
from typing import Any, Literal

from coachbot.channels.hardening import Hardened
from coachbot.channels.matrix.answers import Refused, checked, steadily

PATIENCE = 60.0  # seconds to wait for a homeserver
PAUSE = 0.5  # seconds between two tries to get in
SETTLES = 1.0  # seconds in which nothing may change in a room before it counts as whole (measured)
STATE_LEVEL = 50  # power that state events need where the room names none (the specification, m.room.power_levels)
CREATORS_SINCE = 12  # from this room version on creators have power without being listed
MEGOLM = "m.megolm.v1.aes-sha2"
BY_INVITATION = ("invite", "private", "knock")

Why = Literal["not_invited", "unproven", "open", "public", "strangers", "no_power"]
State = Mapping[tuple[str, str], Mapping[str, Any]]


class Unfit(Exception):
    """The replacement cannot be used; `why` is the reason in one word."""

    def __init__(self, why: Why) -> None:
        super().__init__(why)
        self.why: Why = why


async def enter(client: Hardened, old: str, new: str, within: float) -> None:
    """Join the room that replaces `old`, once invited, at most `within` seconds from now.

    Raises `Unfit` unless somebody with the power to do so has replaced the old room by this very one, which names the
    old one as its predecessor, was made by the same person, is encrypted, and entered by invitation only; also
    `LoginGone` or `Later`.
    """
    before = await _state(client, old)
    stone = before.get(("m.room.tombstone", ""), {})
    by = str(stone.get("sender"))
    if _content(stone).get("replacement_room") != new or not (by == client.user_id or powerful(before, by)):
        raise Unfit("unproven")
    await _join(client, new, within)
    _look(await _settled(client, new), old, by)


async def _settled(client: Hardened, room: str) -> State:
    """The state once it stays as it is: Synapse tells of a room before it is whole, and may forget invitations then."""
    before: Mapping[tuple[str, str], object] = {}
    while True:
        state = await _state(client, room)
        if {key: event.get("event_id") for key, event in state.items()} == before:
            return state
        before = {key: event.get("event_id") for key, event in state.items()}
        await asyncio.sleep(SETTLES)


def _look(state: State, old: str, by: str) -> None:
    """Raise Unfit unless the room with this state may go on for the old one, replaced by this person."""
    birth = state.get(("m.room.create", ""), {})
    if _mapping(_content(birth).get("predecessor")).get("room_id") != old or birth.get("sender") != by:
        raise Unfit("unproven")
    if _content(state.get(("m.room.encryption", ""), {})).get("algorithm") != MEGOLM:
        raise Unfit("open")
    if _content(state.get(("m.room.join_rules", ""), {})).get("join_rule") not in BY_INVITATION:
        raise Unfit("public")


def powerful(state: State, user: str) -> bool:
    """Whether this person may replace the room, as it stands now."""
    birth = state.get(("m.room.create", ""), {})
    version = str(_content(birth).get("room_version", ""))
    if version.isdigit() and int(version) >= CREATORS_SINCE:
        creators = [birth.get("sender"), *(_content(birth).get("additional_creators") or ())]
        if user in creators:
            return True
    levels = _content(state.get(("m.room.power_levels", ""), {}))
    needed = _mapping(levels.get("events")).get("m.room.tombstone", levels.get("state_default", STATE_LEVEL))
    return bool(_mapping(levels.get("users")).get(user, levels.get("users_default", 0)) >= needed)


async def _join(client: Hardened, room: str, within: float) -> None:
    """People are invited a moment after a room was replaced: a no may become a yes."""
    clock = asyncio.get_running_loop()
    end = clock.time() + within
    while True:
        try:
            await steadily(lambda: client.call("POST", "client", "v3", "join", room, body={}), PATIENCE)
            return
        except Refused:
            if clock.time() > end:
                raise Unfit("not_invited") from None
        await asyncio.sleep(PAUSE)


async def _state(client: Hardened, room: str) -> State:
    """The whole state of the room with its senders; nothing where the coach may not look."""
    try:
        answer = await steadily(lambda: _asked(client, room), PATIENCE)
    except Refused:
        return {}
    return {(str(event.get("type")), str(event.get("state_key"))): event for event in answer.events}


async def _asked(client: Hardened, room: str) -> Any:
    return checked(await client.room_get_state(room))


def _content(event: Mapping[str, Any]) -> Mapping[str, Any]:
    return _mapping(event.get("content"))


def _mapping(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
