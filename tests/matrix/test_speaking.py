"""Everything a chat can do reaches the other end: replies, corrections, taps, pictures, signs of life."""

import logging
import uuid
from typing import Any

import pytest
from nio import ReceiptEvent, RoomEncryptedImage, TypingNoticeEvent
from nio.crypto import Olm, decrypt_attachment

from coachbot.channels import hardening
from coachbot.channels.hardening import Careful
from coachbot.channels.matrix.answers import Refused
from coachbot.channels.matrix.voice import html
from tests.matrix.people import Person, Town, bounded

PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + (640).to_bytes(4) + (400).to_bytes(4) + b"the rest of a picture"


def relation(kind: str, event_id: str, **more: str) -> dict[str, Any]:
    return {"m.relates_to": {"rel_type": kind, "event_id": event_id, **more}}


@bounded()
async def test_reply_edit_and_tap_come_back(town: Town) -> None:
    """The relation travels outside the encryption; it must still be found with the words."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        question = await coach.courier.send(room, "q-1", "Pain, 0 to 10?")
        await coach.courier.voice.tap(room, "q-1-3", question, "3")
        await anna.sees(lambda: any(e.source["type"] == "m.reaction" for _, e in anna.seen))
        answer = await anna.say(room, "5", **{"m.relates_to": {"m.in_reply_to": {"event_id": question}}})
        await anna.say(
            room,
            "* 4",
            **relation("m.replace", answer),
            **{"m.new_content": {"msgtype": "m.text", "body": "4"}},
        )
        await anna.post(room, "m.reaction", relation("m.annotation", question, key="3"))
        tap = await coach.gets(lambda a: a.kind == "tap")
        edit = await coach.gets(lambda a: a.kind == "edit")
        assert (await coach.hears("5")).relates_to == question
        assert (edit.text, edit.relates_to) == ("4", answer)
        assert (tap.text, tap.relates_to, tap.sender) == ("3", question, anna.user_id)


@bounded()
async def test_second_tap_is_no_error(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        question = await coach.courier.send(room, "q-1", "Seen?")
        await coach.courier.voice.tap(room, "t-1", question, "👍")
        await coach.courier.voice.tap(room, "t-2", question, "👍")


@bounded()
async def test_coach_reply_and_formatting(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        asked = await anna.say(room, "why?")
        words = "Because <4> is the limit.\nAnna, see you"
        markup = html(words, {"Anna": anna.user_id})
        await coach.courier.send(room, "r-1", words, markup, [anna.user_id], asked)
        await anna.hears(room, words)
        content = anna.messages(room)[-1].source["content"]
        link = f'<a href="https://matrix.to/#/{anna.user_id}">Anna</a>'
        assert content["formatted_body"] == f"Because &lt;4&gt; is the limit.<br/>{link}, see you"
        assert content["m.relates_to"] == {"m.in_reply_to": {"event_id": asked}}


def test_markup_cannot_be_injected() -> None:
    assert html('<img src=x onerror="a()">&') == "&lt;img src=x onerror=&quot;a()&quot;&gt;&amp;"
    assert html("Bo", {"Bo": '@"><script>:t'}) == '<a href="https://matrix.to/#/@&quot;&gt;&lt;script&gt;:t">Bo</a>'


def test_names_inside_names_are_one_link() -> None:
    assert html("Ann, Anna and href", {"Ann": "@1:t", "Anna": "@2:t", "href": "@3:t"}) == (
        '<a href="https://matrix.to/#/@1:t">Ann</a>, <a href="https://matrix.to/#/@2:t">Anna</a>'
        ' and <a href="https://matrix.to/#/@3:t">href</a>'
    )


@bounded()
async def test_picture_is_seen_and_told(town: Town) -> None:
    """The picture leaves encrypted, is whole at the other end, and says in words what it shows."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await coach.courier.voice.picture(room, "p-1", PNG, "Pain fell from 5 to 2.", "weeks.png")
        await anna.hears(room, "Pain fell from 5 to 2.")
        image = anna.messages(room)[-1]
        assert isinstance(image, RoomEncryptedImage)
        content = image.source["content"]
        assert (content["info"]["w"], content["info"]["h"], content["info"]["size"]) == (640, 400, len(PNG))
        stored = (await anna.client.download(image.url)).body
        assert PNG not in stored
        file = content["file"]
        assert decrypt_attachment(stored, file["key"]["k"], file["hashes"]["sha256"], file["iv"]) == PNG


@bounded()
async def test_signs_of_life_are_seen(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        signs: list[Any] = []
        anna.client.add_ephemeral_callback(lambda _, sign: signs.append(sign), (TypingNoticeEvent, ReceiptEvent))
        said = await anna.say(room, "3")
        await coach.hears("3")
        await coach.courier.voice.seen(room, said)
        await coach.courier.voice.typing(room, True)
        await anna.sees(lambda: any(isinstance(s, TypingNoticeEvent) and coach.user_id in s.users for s in signs))
        receipts = [r for s in signs if isinstance(s, ReceiptEvent) for r in s.receipts]
        assert (said, coach.user_id) in {(r.event_id, r.user_id) for r in receipts}
        await coach.courier.voice.typing(room, False)
        await coach.courier.voice.seen("!nowhere:test", "$nothing")


@bounded()
async def test_too_long_is_refused_for_good(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        with pytest.raises(Refused, match="M_TOO_LARGE"):
            await coach.courier.send(room, "l-1", "long " * 20_000)
        await coach.courier.send(room, "l-2", "short")
        await anna.hears(room, "short")


async def odd(anna: Person, room: str) -> None:
    """Things people's clients send that are not plain words, some of them malformed."""
    await anna.post(room, "m.room.message", {"msgtype": "m.image", "body": "scan.png", "url": "mxc://test/x"})
    await anna.post(room, "org.matrix.msc3381.poll.start", {"org.matrix.msc3381.poll": {"question": "?"}})
    await anna.post(room, "m.room.message", {"body": 7})
    await anna.post(room, "m.room.message", {"msgtype": "m.text", "body": ["not", "words"]})
    await anna.post(room, "m.room.encrypted", {"algorithm": "m.megolm.v1.aes-sha2", "ciphertext": {}})
    await anna.post(room, "m.room.message", {"msgtype": "m.notice", "body": "a bot"})


@bounded()
async def test_odd_messages_break_nothing(town: Town) -> None:
    async with town.coach(grace=0.0) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await odd(anna, room)
        await anna.say(room, "3")
        await coach.hears("3")
        kinds = [a.kind for a in coach.arrivals if a.sender == anna.user_id and a.kind != "joined"]
        assert kinds == ["other"] * 4 + ["undecryptable", "text"]


NO_EVENTS = (
    "[1]",
    '"words"',
    "{}",
    '{"type": 1, "content": []}',
    '{"type": "m.room.message", "content": "words"}',
)


async def no_events(town: Town) -> list[tuple[str, str, bool]]:
    """Rightly encrypted, but no events: kind, sender and whether the id is right, of what arrives."""
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await anna.say(room, "before")
        session = anna.client.olm.outbound_group_sessions[room]
        ids = []
        for plain in NO_EVENTS:
            content = {**anna.client.olm.group_encrypt(room, {}), "ciphertext": session.encrypt(plain)}
            path = f"/_matrix/client/v3/rooms/{room}/send/m.room.encrypted/{uuid.uuid4()}"
            ids.append((await anna.request("PUT", path, content))["event_id"])
        await anna.say(room, "after")
        await coach.hears("after")
        odd = [a for a in coach.arrivals if a.kind not in ("text", "joined")]
        return [(a.kind, a.sender.split("-")[0], a.event_id in ids) for a in odd]


@bounded()
async def test_encrypted_nonsense_is_told(town: Town) -> None:
    assert await no_events(town) == [("other", "@anna", True)] * len(NO_EVENTS)


@bounded()
async def test_encrypted_nonsense_is_nobodys_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Careful, "_decrypt_megolm_no_error", Olm._decrypt_megolm_no_error)
    with pytest.raises(BaseExceptionGroup) as ended:
        await no_events(town)
    assert ended.group_contains(TypeError)


async def without_deprecated_fields(town: Town) -> str:
    """A newer client leaves out who encrypted with which device."""
    async with town.coach(grace=0.5) as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await anna.client.share_group_session(room, True)
        words = {"type": "m.room.message", "content": {"msgtype": "m.text", "body": "3"}}
        content = anna.client.olm.group_encrypt(room, words)
        del content["sender_key"], content["device_id"]
        path = f"/_matrix/client/v3/rooms/{room}/send/m.room.encrypted/{uuid.uuid4()}"
        await anna.request("PUT", path, content)
        return (await coach.gets(lambda a: a.kind in ("text", "undecryptable"))).text


@bounded()
async def test_deprecated_fields_may_be_missing(town: Town) -> None:
    assert await without_deprecated_fields(town) == "3"


@bounded()
async def test_deprecated_fields_are_needed_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Careful, "unseal", lambda self, event, _: self.decrypt_event(event))
    assert await without_deprecated_fields(town) == ""


@bounded()
async def test_logs_hold_nobodys_words(town: Town, caplog: pytest.LogCaptureFixture) -> None:
    """The library logs what it cannot parse; the coach does not let it."""
    caplog.set_level(0)
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await anna.post(room, "m.room.message", {"msgtype": "m.text", "body": ["my secret pain"]})
        await anna.say(room, "my secret words")
        await coach.hears("my secret words")
    assert "secret" not in caplog.text


@bounded()
async def test_logs_hold_words_without_rule(
    town: Town, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hardening, "quiet", lambda: None)
    logging.getLogger("nio").setLevel(logging.NOTSET)
    caplog.set_level(0)
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await anna.post(room, "m.room.message", {"msgtype": "m.text", "body": ["my secret pain"]})
        await coach.gets(lambda a: a.kind == "other")
    assert "secret" in caplog.text
