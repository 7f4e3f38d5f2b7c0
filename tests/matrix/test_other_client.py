"""Clients that share nothing with the coach's library read the coach and are understood, by the specification alone."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

import pytest

from tests.matrix.clinic import Clinic, Talk
from tests.matrix.other.client import Plain, plain
from tests.matrix.other.shapes import flaws
from tests.matrix.people import PASSWORD, Town, bounded
from tests.matrix.scenes import PAIN, POP, Scene, morning, red_flag, session, taken_in

PNG = b"\x89PNG\r\n\x1a\n"
SPOKEN = ("m.room.message", "m.room.encrypted", "m.reaction")


@asynccontextmanager
async def others(town: Town, *, spoken: bool = False) -> AsyncIterator[Scene]:
    """A clinic with taps in which the clinician and the athlete, taken in, both have another library's clients."""
    lee, sam = (plain(town.url, town.register(name), PASSWORD) for name in ("lee", "sam"))
    async with lee as clinician, sam as athlete:
        clinic = Clinic(town, [clinician], taps=True)
        async with clinic.running():
            yield await taken_in(clinic, clinician, athlete, spoken=spoken)


def all_flaws(clinic: Clinic, person: Plain) -> list[str]:
    """What is wrong with anything that the coach has said in the rooms of this person."""
    said = [s for _, s in person.seen if s.sender == clinic.coach_id and s.sent["type"] in SPOKEN]
    assert said
    return [f"{flaw}: {each.source}" for each in said for flaw in flaws(each.sent, each.source)]


@bounded()
async def test_day_goes_through_other_clients(town: Town) -> None:
    async with others(town, spoken=True) as scene:
        common = await scene.common()
        await morning(scene)
        await session(scene)
        await red_flag(scene)
        await common.hears(POP)
        alert = common.person.messages(common.room)[-1].source["content"]
        assert alert["m.mentions"] == {"user_ids": [scene.desk.person.user_id]}
        await scene.desk.tap(POP, "✅")
        await scene.talk.hears("has read the message about you")
        await scene.desk.say("release Sam seen, all fine", "Write yes")
        await scene.desk.say("yes", "Sam is released")
        await scene.talk.hears("training may go on")
        await scene.talk.say("picture", "Walking pain in the mornings")
        shown = scene.talk.person.messages(scene.talk.room)[-1].source["content"]
        assert (await scene.talk.person.picture(shown)).startswith(PNG)
        for each in (common, scene.desk, scene.talk):
            await each.quiet()
        assert all_flaws(scene.clinic, scene.desk.person) == all_flaws(scene.clinic, scene.talk.person) == []


@bounded()
async def test_relations_outside_the_seal_count(town: Town) -> None:
    async with others(town) as scene:
        talk, state = scene.talk, lambda: scene.clinic.state("sam")
        await morning(scene)
        answer = await talk.reply(PAIN, "2")
        await talk.hears("any sudden sharp pain")
        await talk.edit(answer, "3", "Walking pain: 3 of 10")
        await talk.tap("any sudden sharp pain", "❌")
        await talk.hears("Today:")
        assert (state().morning.walking, state().morning.sudden) == (3, False)
        event = talk.event("Today:")
        thread = {"rel_type": "m.thread", "event_id": event, "is_falling_back": True}
        await talk.say("done", "What did you do", **{"m.relates_to": {**thread, "m.in_reply_to": {"event_id": event}}})
        await red_flag(scene)
        common = await scene.common()
        await common.hears(POP)
        await common.reply(POP, "I call him")
        await talk.hears("has read the message about you")
        called = {"m.mentions": {"user_ids": [scene.clinic.coach_id]}}
        await common.person.say(common.room, "Coach: show Sam", **called)
        await scene.desk.hears("Sam")
        assert [alert.taken_by for alert in state().alerts.values()] == [f"lee-{town.tag}"]


@bounded()
async def test_second_device_and_new_key_are_followed(town: Town) -> None:
    async with others(town) as scene, plain(town.url, scene.talk.person.user_id, PASSWORD) as phone:
        talk, there = scene.talk, Talk(phone, scene.talk.room)
        await phone.joins(talk.room)
        await morning(scene)
        await there.hears(PAIN)
        await there.say("2", "any sudden sharp pain")
        await talk.hears("any sudden sharp pain")
        talk.person.keys.renew(talk.room)
        await talk.say("no", "Today:")
        await there.hears("Today:")


SEALED = {
    "type": "m.room.encrypted",
    "content": {"algorithm": "m.megolm.v1.aes-sha2", "ciphertext": "abc", "session_id": "def"},
}
GOOD = {"msgtype": "m.text", "body": "a\nb", "m.mentions": {}}
HTML = {"format": "org.matrix.custom.html", "formatted_body": "a<br/>b"}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, ""),
        (HTML, ""),
        ({"body": ""}, "it has no words"),
        ({"msgtype": "m.words"}, "no kind of message"),
        ({"m.mentions": {"user_ids": ["lee"]}}, "it mentions nobody"),
        ({"m.mentions": None}, "whom it mentions"),
        ({"m.mentions": {"user_ids": ["@lee:test"]}, **HTML}, "the words do not link"),
        ({"formatted_body": "a<br/>b"}, "go together"),
        ({**HTML, "formatted_body": "a<br/>c"}, "says something else"),
        ({**HTML, "formatted_body": "a<br/><script>b</script>"}, "does not belong"),
        ({**HTML, "formatted_body": 'a<br/><a href="https://b.example">b</a>'}, "something else than a person"),
        ({"m.relates_to": {"m.in_reply_to": {}}}, "no reply"),
        ({"reply_to": "x"}, "the specification has no"),
    ],
)
def test_each_flaw_is_seen(change: dict[str, Any], said: str) -> None:
    found = flaws(SEALED, {"type": "m.room.message", "content": {**GOOD, **change}})
    assert bool(found) == bool(said) and said in " ".join(found)


def test_open_words_are_a_flaw() -> None:
    event = {"type": "m.room.message", "content": GOOD}
    assert "it is not sealed" in flaws(event, event)
