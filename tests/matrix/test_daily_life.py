"""What else happens in a chat: a picture, a voice message, a key that does not come, a no, somebody who leaves."""

from contextlib import closing
from datetime import timedelta

from nio.crypto import decrypt_attachment

from coachbot.serve.owed import Owed, owed
from tests.matrix.clinic import Clinic, Talk, people
from tests.matrix.people import Town, bounded, until
from tests.matrix.scenes import PAIN, cast, clinic_day, morning, red_flag, taken_in

PNG = b"\x89PNG\r\n\x1a\n"


@bounded()
async def test_picture_comes_with_words(town: Town) -> None:
    async with clinic_day(town) as scene:
        await morning(scene)
        await scene.talk.say("2 no", "Today:")
        words = await scene.talk.say("picture", "Walking pain in the mornings")
        assert ": 2 of 10" not in words and " 2. " in words and "Pain limit: 4 of 10" in words
        assert (await image(scene.talk)).startswith(PNG)
        await scene.desk.say("picture Sam", "Walking pain in the mornings")
        assert (await image(scene.desk)).startswith(PNG)


async def image(talk: Talk) -> bytes:
    """The last picture in the room, as the person's own client decrypts it."""
    content = talk.person.messages(talk.room)[-1].source["content"]
    assert content["msgtype"] == "m.image" and "url" not in content
    file = content["file"]
    answer = await talk.person.client.download(file["url"])
    return bytes(decrypt_attachment(answer.body, file["key"]["k"], file["hashes"]["sha256"], file["iv"]))


@bounded()
async def test_no_is_a_no(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam), clinic.running():
        desk = await clinic.enters(lee)
        await desk.say(f"enrol {sam.user_id} Sam", "is enrolled")
        talk = await clinic.enters(sam)
        await talk.hears("May I ask you some questions")
        await talk.say("what is this?", "May I ask you some questions")
        await talk.say("no", "I ask nothing and keep nothing")
        await desk.hears("Sam does not want to be asked by me")
        assert clinic.state("sam").heard_at is None
        await talk.say("I felt a pop and cannot walk", "top all training")  # danger is heard all the same
        await desk.hears("cannot walk")


@bounded()
async def test_enrolling_says_what_is_wrong(town: Town) -> None:
    async with people(town, "lee", "kim") as (lee, kim):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.say("enrol Sam", "Write the athlete's Matrix id")
            await desk.say("enrol @nobody-at-all:test Sam", "knows nobody called @nobody-at-all:test")
            await desk.say(f"enrol {kim.user_id} Kim", "has another part here")
            await desk.say(f"enrol {clinic.coach_id} Coach", "has another part here")


async def sealed(talk: Talk) -> None:
    """Say something for which nobody has the key."""
    content = {
        "algorithm": "m.megolm.v1.aes-sha2", "sender_key": "none", "session_id": "none",
        "ciphertext": "none", "device_id": talk.person.client.device_id,
    }  # fmt: skip
    path = f"/_matrix/client/v3/rooms/{talk.room}/send/m.room.encrypted/1"
    await talk.person.request("PUT", path, content)


@bounded()
async def test_unreadable_message_is_no_silence(town: Town) -> None:
    async with clinic_day(town) as scene:
        talk, sam = scene.talk, scene.talk.person
        await sealed(talk)
        await talk.hears("I could not read your last message")
        scene.clinic.clock.ahead += timedelta(minutes=11)
        await scene.desk.hears("A message of Sam could not be read")
        await sam.post(talk.room, "m.room.message", {"msgtype": "m.audio", "body": "voice.ogg", "url": "mxc://a/b"})
        await talk.hears("I can read words only")


@bounded()
async def test_leaving_is_told_and_mended(town: Town) -> None:
    async with clinic_day(town) as scene:
        await scene.talk.person.client.room_leave(scene.talk.room)
        await scene.desk.hears("Sam has left our room")
        await scene.desk.say("tell Sam see you on friday", "Sent to Sam")
        await scene.talk.hears("see you on friday")  # asked in again
        await scene.talk.say("help", "correct")


@bounded()
async def test_erased_athlete_leaves_no_trace(town: Town) -> None:
    async with clinic_day(town) as scene:
        talk, sam = scene.talk, scene.talk.person
        await red_flag(scene)
        note(scene.clinic, Owed(sam.user_id, "picture-1", case="sam"))
        await scene.desk.say("erase Sam", "Write yes")
        await scene.desk.say("yes", "Erased")
        await until(lambda: scene.clinic.kept(f"matrix room {sam.user_id}") is None)
        await sam.say(talk.room, "hello")
        assert [said for said in await talk.quiet() if "hello" in said.lower()] == []
    raw = b"".join(path.read_bytes() for path in town.folder.glob("coach.sqlite*"))
    assert sam.user_id.encode() not in raw and b"sam-a1" not in raw


@bounded()
async def test_nothing_taps_without_the_setting(town: Town) -> None:
    async with clinic_day(town) as scene:
        sam = scene.talk.person
        await morning(scene)
        await scene.talk.tap(PAIN, "3️⃣")
        await scene.talk.quiet()
        assert scene.clinic.state("sam").morning is None
        assert [e for _, e in sam.seen if e.source["type"] == "m.reaction" and e.sender != sam.user_id] == []


@bounded()
async def test_clinicians_talk_among_themselves(town: Town) -> None:
    async with clinic_day(town) as scene:
        common, coach = await scene.common(), scene.clinic.coach_id
        await common.hears("Sam has finished the intake")
        await common.person.say(common.room, "approve Sam")  # not said to the coach
        await common.quiet()
        assert scene.clinic.state("sam").approved_by is None
        await common.person.say(common.room, f"{coach}: approve Sam", **{"m.mentions": {"user_ids": [coach]}})
        await scene.desk.hears("approved")


@bounded()
async def test_what_was_owed_is_said_at_the_start(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
        note(clinic, Owed(sam.user_id, "picture-1", case="sam"))  # as if it had been killed before it could say it
        note(clinic, Owed(lee.user_id, "notice-1", "Sam has left our room"))
        async with clinic.running():
            await scene.talk.hears("Walking pain in the mornings")
            await scene.desk.hears("Sam has left our room")
            await until(lambda: not still_owed(clinic))


def note(clinic: Clinic, owed: Owed) -> None:
    with closing(clinic.journal()) as journal:
        owed.keep(journal)


def still_owed(clinic: Clinic) -> list[Owed]:
    with closing(clinic.journal()) as journal:
        return list(owed(journal))
