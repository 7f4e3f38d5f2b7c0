"""What came in from a room, as one small frozen record; pure reading, no library and no network."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from html import unescape
from typing import Any, Literal
from urllib.parse import unquote

Kind = Literal["text", "tap", "edit", "other", "undecryptable", "invited", "joined", "left", "replaced"]
Source = Mapping[str, Any]

PILL = re.compile(r"""href=["']https://matrix\.to/#/(@[^"'?/]+|%40[^"'?/]+)""")
QUOTED = re.compile(r"\A(?:> ?[^\n]*\n)+\n?")  # the old fallback: the message answered to, before the answer
NAME_END = re.compile(r"[\s:,.!?]|$")
EMOJI_STYLE = "\ufe0f"  # the same emoji comes with and without this mark
SPOKEN = {"m.text": "text", "m.emote": "text"}
PRESENT = {"join": "joined", "leave": "left", "ban": "left"}


@dataclass(frozen=True)
class Arrival:
    """One thing somebody did in a room.

    `text` holds the words of a text, the new words of an edit, the key of a tap, the plain description of
    an `other` (a picture, a voice message, a poll), the room that is to go on for a `replaced` one.
    `relates_to` is the event answered, tapped or edited;
    `mentions` are Matrix ids. For joined and left, `sender` is the person now in or out, whoever did it. An
    `undecryptable` may be followed by a `text` with the same `event_id` when its key comes late; `id` keeps
    the two apart. Anybody can claim to edit anybody's message: that the original was the sender's own, the
    homeserver does not check, and the reader must.
    """

    kind: Kind
    sender: str
    room: str
    event_id: str
    text: str
    relates_to: str | None
    at: datetime
    mentions: frozenset[str]

    @property
    def id(self) -> str:
        """What makes this arrival one of a kind: store it to recognise a replay."""
        return f"{self.kind}:{self.room}" if self.kind == "invited" else f"{self.kind}:{self.event_id}"


@dataclass(frozen=True)
class Me:
    """The coach as others see it, to recognise its own events and a name called at the start of a message."""

    user_id: str
    name: str


def read(event: Source, room: str, me: Me) -> Arrival | None:
    """The arrival an event stands for; None for our own, for notices of bots, and for what is no act."""
    content = _mapping(event.get("content"))
    kind = event.get("type")
    if kind == "m.room.member":
        return _membership(event, content, room, me)
    if kind == "m.room.tombstone" and event.get("state_key") == "":
        return _arrival("replaced", event, room, _words(content.get("replacement_room")))
    if (
        event.get("sender") == me.user_id
        or "state_key" in event
        or "redacted_because" in _mapping(event.get("unsigned"))
    ):
        return None
    match kind:
        case "m.room.message":
            return _message(event, content, room, me)
        case "m.reaction":
            return _tap(event, content, room)
        case "m.room.encrypted":
            return _arrival("undecryptable", event, room)
        case "m.sticker" | "m.poll.start" | "org.matrix.msc3381.poll.start":
            return _arrival("other", event, room, _words(content.get("body")))
        case _:
            return None


def _message(event: Source, content: Source, room: str, me: Me) -> Arrival | None:
    if content.get("msgtype") == "m.notice":  # the specification: bots do not answer notices
        return None
    relation = _mapping(content.get("m.relates_to"))
    if relation.get("rel_type") == "m.replace":
        return _edit(event, content, relation, room, me)
    kind = SPOKEN.get(str(content.get("msgtype")), "other")
    target = _words(_mapping(relation.get("m.in_reply_to")).get("event_id")) or None
    body = _words(content.get("body"))
    text = QUOTED.sub("", body) if target else body
    return _arrival(kind if body else "other", event, room, text, target, _mentions(content, text, me))


def _edit(event: Source, content: Source, relation: Source, room: str, me: Me) -> Arrival | None:
    new = _mapping(content.get("m.new_content"))
    text, target = _words(new.get("body")), _words(relation.get("event_id"))
    return _arrival("edit", event, room, text, target, _mentions(new, text, me)) if text and target else None


def _tap(event: Source, content: Source, room: str) -> Arrival | None:
    relation = _mapping(content.get("m.relates_to"))
    key, target = _words(relation.get("key")), _words(relation.get("event_id"))
    return _arrival("tap", event, room, key.replace(EMOJI_STYLE, ""), target) if key and target else None


def _membership(event: Source, content: Source, room: str, me: Me) -> Arrival | None:
    """A person came or went; a new name or picture is not a coming."""
    unsigned = _mapping(event.get("unsigned"))
    before = _mapping(unsigned.get("prev_content") or event.get("prev_content")).get("membership")
    now, person = content.get("membership"), _words(event.get("state_key"))
    kind = PRESENT.get(str(now))
    if kind is None or before == now or (kind == "joined" and person == me.user_id):
        return None
    return _arrival(kind, {**event, "sender": person}, room)


def invitation(events: list[Source], room: str, me: Me) -> Arrival | None:
    """The invitation in a room's stripped state; it has no id and no time of its own."""
    for event in events:
        if event.get("type") == "m.room.member" and event.get("state_key") == me.user_id:
            return _arrival("invited", event, room)
    return None


def _mentions(content: Source, text: str, me: Me) -> frozenset[str]:
    """Who is called: ids in m.mentions, else pills in the formatted body, else our own name at the start."""
    named = _mapping(content.get("m.mentions")).get("user_ids")
    if isinstance(named, list):
        return frozenset(user for user in named if isinstance(user, str))
    pills = PILL.findall(_words(content.get("formatted_body")))
    if pills:
        return frozenset(unquote(unescape(user)) for user in pills)
    return frozenset({me.user_id}) if _called(text, me) else frozenset()


def _called(text: str, me: Me) -> bool:
    said = text.lstrip().lstrip("@").casefold()
    names = (me.user_id.lstrip("@"), me.user_id.lstrip("@").split(":")[0], me.name)
    return any(name and said.startswith(name.casefold()) and NAME_END.match(said[len(name) :]) for name in names)


def _arrival(
    kind: Any,
    event: Source,
    room: str,
    text: str = "",
    relates_to: str | None = None,
    mentions: frozenset[str] = frozenset(),
) -> Arrival:
    return Arrival(
        kind,
        _words(event.get("sender")),
        room,
        _words(event.get("event_id")),
        text,
        relates_to,
        _at(event),
        mentions,
    )


def _at(event: Source) -> datetime:
    """When the sender's homeserver says it was; a nonsensical time becomes the year 1970, never an error."""
    stamp = event.get("origin_server_ts")
    try:
        return datetime.fromtimestamp(float(stamp or 0) / 1000, UTC)
    except (TypeError, ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(0, UTC)


def _mapping(value: object) -> Source:
    return value if isinstance(value, Mapping) else {}


def _words(value: object) -> str:
    return value if isinstance(value, str) else ""
