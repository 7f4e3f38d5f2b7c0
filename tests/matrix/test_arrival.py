"""What people do in a room is read as one small record, whatever their client makes of it."""

from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, strategies as st

from coachbot.channels.matrix.arrival import Arrival, Me, invitation, read

ME = Me("@coach:test", "Coach Kim")
ROOM = "!room:test"
AT = datetime(2025, 3, 1, 7, 30, tzinfo=UTC)


def event(kind: str = "m.room.message", **content: Any) -> dict[str, Any]:
    return {
        "type": kind,
        "event_id": "$1",
        "sender": "@anna:test",
        "origin_server_ts": int(AT.timestamp() * 1000),
        "content": content,
    }


def said(body: str, **content: Any) -> dict[str, Any]:
    return event(msgtype="m.text", body=body, **content)


def arrived(source: dict[str, Any]) -> Arrival:
    arrival = read(source, ROOM, ME)
    assert arrival is not None
    return arrival


def test_text_is_read_whole() -> None:
    expected = Arrival("text", "@anna:test", ROOM, "$1", "3 or 4", None, AT, frozenset())
    assert arrived(said("3 or 4")) == expected


REPLY = {"m.relates_to": {"m.in_reply_to": {"event_id": "$q"}}}


def test_reply_leaves_out_quoted_question() -> None:
    """The quoted question holds numbers of its own, which must not be taken for the answer."""
    arrival = arrived(said("> <@coach:test> Pain, 0 to 10?\n> 4 is the limit\n\n2", **REPLY))
    assert (arrival.text, arrival.relates_to) == ("2", "$q")


def test_quote_without_reply_stays() -> None:
    assert arrived(said("> 3\n\n4")).text == "> 3\n\n4"


def test_edit_carries_new_words() -> None:
    change = {
        "m.new_content": {"msgtype": "m.text", "body": "5"},
        "m.relates_to": {"rel_type": "m.replace", "event_id": "$a"},
    }
    arrival = arrived(said("* 5", **change))
    assert (arrival.kind, arrival.text, arrival.relates_to) == ("edit", "5", "$a")


@pytest.mark.parametrize("key", ["👍", "👍\ufe0f"])
def test_tap_is_same_emoji(key: str) -> None:
    relation = {"rel_type": "m.annotation", "event_id": "$q", "key": key}
    arrival = arrived(event("m.reaction", **{"m.relates_to": relation}))
    assert (arrival.kind, arrival.text, arrival.relates_to) == ("tap", "👍", "$q")


PILL = '<a href="https://matrix.to/#/@coach:test">Coach Kim</a> hello'
ENCODED = '<a href="https://matrix.to/#/%40coach%3Atest">Coach</a> hello'


@pytest.mark.parametrize(
    ("content", "called"),
    [
        (
            {"body": "x", "m.mentions": {"user_ids": ["@coach:test", "@ben:test"]}},
            {"@coach:test", "@ben:test"},
        ),
        ({"body": "Coach Kim: x", "m.mentions": {}}, {"@coach:test"}),
        ({"body": "x", "m.mentions": {"user_ids": []}, "formatted_body": PILL}, set()),
        ({"body": "x", "formatted_body": PILL}, {"@coach:test"}),
        ({"body": "x", "formatted_body": ENCODED}, {"@coach:test"}),
        ({"body": "coach kim, how is Ben?"}, {"@coach:test"}),
        ({"body": "@coach: how is Ben?"}, {"@coach:test"}),
        ({"body": "@coach:test how is Ben?"}, {"@coach:test"}),
        ({"body": "Coaching is fun"}, set()),
        ({"body": "ask the Coach Kim"}, set()),
    ],
)
def test_mentions_are_found(content: dict[str, Any], called: set[str]) -> None:
    assert arrived(event(msgtype="m.text", **content)).mentions == called


@pytest.mark.parametrize("msgtype", ["m.image", "m.audio", "m.file", "m.location", "org.unheard.of"])
def test_no_words_is_other(msgtype: str) -> None:
    arrival = arrived(event(msgtype=msgtype, body="scan.png"))
    assert (arrival.kind, arrival.text) == ("other", "scan.png")


@pytest.mark.parametrize(
    "source",
    [
        event(),
        event(msgtype="m.text"),
        event(msgtype="m.text", body=7),
        event("m.poll.start"),
        event("m.sticker"),
    ],
)
def test_malformed_message_is_other(source: dict[str, Any]) -> None:
    """The person did say something: they can be told that it was not understood."""
    assert arrived(source).kind == "other"


def member(now: str, before: str | None, who: str = "@ben:test") -> dict[str, Any]:
    unsigned = {"prev_content": {"membership": before}} if before else {}
    return {**event("m.room.member", membership=now), "state_key": who, "unsigned": unsigned}


@pytest.mark.parametrize(
    ("source", "kind"),
    [
        (member("join", "invite"), "joined"),
        (member("join", None), "joined"),
        (member("leave", "join"), "left"),
        (member("ban", "join"), "left"),
        (member("leave", "join", ME.user_id), "left"),
    ],
)
def test_coming_and_going(source: dict[str, Any], kind: str) -> None:
    arrival = arrived(source)
    assert (arrival.kind, arrival.sender) == (kind, source["state_key"])


@pytest.mark.parametrize(
    "source",
    [
        {**said("my own words"), "sender": ME.user_id},
        event(msgtype="m.notice", body="I am a bot too"),
        member("join", "join"),
        member("join", "invite", ME.user_id),
        member("invite", None),
        {**event("m.room.name", name="Team"), "state_key": ""},
        {**said("gone"), "unsigned": {"redacted_because": {}}},
        event("m.room.redaction"),
        event("m.reaction"),
        event("org.unheard.of"),
    ],
)
def test_no_act_is_no_arrival(source: dict[str, Any]) -> None:
    assert read(source, ROOM, ME) is None


def test_invitation_is_found() -> None:
    state = [
        event("m.room.name", name="x"),
        {**event("m.room.member", membership="invite"), "state_key": ME.user_id},
    ]
    arrival = invitation(state, ROOM, ME)
    assert arrival is not None
    assert (arrival.kind, arrival.sender, arrival.room) == ("invited", "@anna:test", ROOM)
    assert invitation(state[:1], ROOM, ME) is None


def test_sealed_and_read_differ() -> None:
    sealed, opened = arrived(event("m.room.encrypted", ciphertext="?")), arrived(said("3"))
    assert sealed.kind == "undecryptable"
    assert sealed.event_id == opened.event_id
    assert sealed.id != opened.id


EVENT = ("type", "content", "sender", "event_id", "state_key", "unsigned", "origin_server_ts", "prev_content")
CONTENT = ("msgtype", "body", "formatted_body", "key", "rel_type", "membership", "user_ids")
NESTED = ("m.relates_to", "m.in_reply_to", "m.new_content", "m.mentions")
NAMES = st.sampled_from(EVENT + CONTENT + NESTED)
WORDS = st.sampled_from(
    [
        "m.room.message",
        "m.reaction",
        "m.room.member",
        "m.room.encrypted",
        "m.text",
        "m.replace",
        "join",
        "leave",
        "x",
        "",
    ]
)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=6),
    max_leaves=12,
)


@given(st.dictionaries(NAMES, JSON, max_size=8), WORDS)
def test_nothing_makes_it_raise(source: dict[str, Any], kind: str) -> None:
    arrival = read({**source, "type": kind}, ROOM, ME)
    assert arrival is None or isinstance(arrival.text, str)
