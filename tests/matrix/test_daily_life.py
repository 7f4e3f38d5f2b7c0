"""What else happens in a chat: a picture, a voice message, a key that does not come, a no, somebody who leaves."""

from datetime import timedelta

from nio.crypto import decrypt_attachment

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, enrolled, people
from tests.matrix.people import Person, Town, bounded, until

PNG = b"\x89PNG\r\n\x1a\n"


@bounded(60)
async def test_picture_comes_with_words(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await desk.say("approve Sam", "approved")
            clinic.clock.to(2, 8, 1)
            await talk.hears("How much does your left leg hurt")
            await talk.say("2 no", "Today:")
            words = await talk.say("picture", "Walking pain in the mornings")
            assert ": 2 of 10" not in words and " 2. " in words and "Pain limit: 4 of 10" in words
            assert (await image(sam, talk.room)).startswith(PNG)
            await desk.say("picture Sam", "Walking pain in the mornings")
            assert (await image(lee, desk.room)).startswith(PNG)


async def image(person: Person, room: str) -> bytes:
    """The last picture in the room, as the person's own client decrypts it."""
    content = person.messages(room)[-1].source["content"]
    assert content["msgtype"] == "m.image" and "url" not in content
    file = content["file"]
    answer = await person.client.download(file["url"])
    return bytes(decrypt_attachment(answer.body, file["key"]["k"], file["hashes"]["sha256"], file["iv"]))


@bounded(60)
async def test_no_is_a_no(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
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


@bounded(60)
async def test_enrolling_says_what_is_wrong(town: Town) -> None:
    async with people(town, "lee", "kim") as (lee, kim):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.say("enrol Sam", "Write the athlete's Matrix id")
            await desk.say("enrol @nobody-at-all:test Sam", "knows nobody called @nobody-at-all:test")
            await desk.say(f"enrol {kim.user_id} Kim", "has another part here")
            await desk.say(f"enrol {clinic.coach_id} Coach", "has another part here")


@bounded(60)
async def test_unreadable_message_is_no_silence(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            sealed = {
                "algorithm": "m.megolm.v1.aes-sha2", "sender_key": "none", "session_id": "none",
                "ciphertext": "none", "device_id": sam.client.device_id,
            }  # fmt: skip
            path = f"/_matrix/client/v3/rooms/{talk.room}/send/m.room.encrypted/1"
            await sam.request("PUT", path, sealed)
            await talk.hears("I could not read your last message")
            clinic.clock.ahead += timedelta(minutes=11)
            await desk.hears("A message of Sam could not be read")
            await sam.post(talk.room, "m.room.message", {"msgtype": "m.audio", "body": "voice.ogg", "url": "mxc://a/b"})
            await talk.hears("I can read words only")


@bounded(60)
async def test_leaving_is_told_and_mended(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await sam.client.room_leave(talk.room)
            await desk.hears("Sam has left our room")
            await desk.say("tell Sam see you on friday", "Sent to Sam")
            await talk.hears("see you on friday")  # asked in again
            await talk.say("help", "correct")


@bounded(60)
async def test_erased_athlete_leaves_no_trace(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await talk.say("felt a pop", "Please stop all training")
            await desk.hears("felt a pop")
            await desk.say("erase Sam", "Write yes")
            await desk.say("yes", "Erased")
            await until(lambda: clinic.kept(f"matrix room {sam.user_id}") is None)
            await sam.say(talk.room, "hello")
            assert [said for said in await talk.quiet() if "hello" in said.lower()] == []
        raw = b"".join(path.read_bytes() for path in town.folder.glob("coach.sqlite*"))
        assert sam.user_id.encode() not in raw and b"sam-a1" not in raw


@bounded(60)
async def test_nothing_taps_without_the_setting(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(lee, CLINICIANS)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await desk.say("approve Sam", "approved")
            clinic.clock.to(2, 8, 1)
            await talk.hears("How much does your left leg hurt")
            await talk.tap("How much does your left leg hurt", "3️⃣")
            await talk.quiet()
            assert clinic.state("sam").morning is None
            assert [e for _, e in sam.seen if e.source["type"] == "m.reaction" and e.sender != sam.user_id] == []
            assert common.news()


@bounded(60)
async def test_clinicians_talk_among_themselves(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(lee, CLINICIANS)
            await enrolled(clinic, desk, sam, "Sam")
            await common.hears("Sam has finished the intake")
            await lee.say(common.room, "approve Sam")  # not said to the coach
            await common.quiet()
            assert clinic.state("sam").approved_by is None
            called = {"m.mentions": {"user_ids": [clinic.coach_id]}}
            await lee.say(common.room, f"{clinic.coach_id}: approve Sam", **called)
            await desk.hears("approved")
