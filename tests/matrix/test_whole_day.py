"""A whole day in encrypted rooms: enrolled, asked, approved, trained, a red flag, somebody who takes it, let go on."""

from datetime import timedelta

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Talk, people
from tests.matrix.people import Town, bounded
from tests.matrix.scenes import PAIN, POP, cast, clinic_day, morning, red_flag, session, taken_in

TIER_WAIT = timedelta(minutes=61)
"""Nobody took a same-day alert for an hour: the next one is called (the programme's own number is 60 minutes)."""


@bounded()
async def test_day_goes_through_encrypted_rooms(town: Town) -> None:
    async with people(town, "kim") as (kim,), clinic_day(town, kim, spoken=True) as scene:
        desk, talk, common = scene.desk, scene.talk, await scene.common()
        assert any("This is your desk" in said for said in desk.person.heard(desk.room))
        await morning(scene)
        await session(scene)
        await red_flag(scene)
        await common.hears(POP)
        mentioned = desk.person.messages(desk.room)[-1].source["content"]["m.mentions"]
        assert mentioned == {"user_ids": [desk.person.user_id]}
        await desk.tap(POP, "✅")
        await talk.hears(f"lee-{town.tag} has read the message about you")
        await desk.say("release Sam seen, all fine", "Write yes")
        await desk.say("yes", "Sam is released: seen, all fine")
        await talk.hears("training may go on")
        assert scene.clinic.state("sam").hold is None
        here = [(each.person.client.rooms, each.room) for each in (desk, talk, common)]
        assert all(rooms[room].encrypted for rooms, room in here)


@bounded()
async def test_taps_answer_with_the_setting(town: Town) -> None:
    async with clinic_day(town, taps=True) as scene:
        talk = scene.talk
        await morning(scene)
        await talk.person.sees(lambda: len(taps(talk, PAIN)) == 11)
        await talk.tap(PAIN, "3️⃣")
        await talk.hears("any sudden sharp pain")
        await talk.tap(PAIN, "7️⃣")  # the question is answered: this says nothing any more
        await talk.tap("any sudden sharp pain", "❌")
        await talk.hears("Today:")
        answered = scene.clinic.state("sam").morning
        assert answered is not None and (answered.walking, answered.sudden) == (3, False)


def taps(talk: Talk, words: str) -> list[str]:
    """The reactions under the last message with these words."""
    under = [e.source["content"]["m.relates_to"] for room, e in talk.person.seen if e.source["type"] == "m.reaction"]
    return [each["key"] for each in under if each["event_id"] == talk.event(words)]


@bounded()
async def test_reply_takes_an_alert(town: Town) -> None:
    async with people(town, "kim") as (kim,), clinic_day(town, kim) as scene:
        common = await scene.clinic.enters(kim, CLINICIANS)
        other = await scene.clinic.enters(kim)
        await scene.talk.say("I cannot walk any more", "clinician")
        await scene.desk.hears("cannot walk")
        scene.clinic.clock.ahead += TIER_WAIT
        await other.hears("cannot walk")  # the next one on the list
        await common.reply("cannot walk", "I call him")
        await scene.talk.hears(f"kim-{town.tag} has read the message about you")
        alerts = scene.clinic.state("sam").alerts.values()
        assert [alert.taken_by for alert in alerts] == [f"kim-{town.tag}"]


@bounded()
async def test_tap_before_the_note_counts(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            await red_flag(scene)
            await scene.desk.quiet()
        journal = clinic.journal()  # as if it had been killed after the alert was said and before that was noted
        journal.forget([f"matrix alert {scene.desk.event(POP)}"])
        journal.close()
        await scene.desk.tap(POP, "👍")
        async with clinic.running():
            await scene.talk.hears("has read the message about you")


@bounded()
async def test_answer_before_the_note_counts(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam):
        clinic.settings["taps"] = True
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            await morning(scene)
            await sam.sees(lambda: len(taps(scene.talk, PAIN)) == 11)
            await scene.desk.say("tell Sam see you on friday", "Sent to Sam")  # the case moves on, the question stays
            await scene.talk.hears("see you on friday")
        journal = clinic.journal()  # as if it had been killed after the question was said and before that was noted
        journal.forget(["matrix asked sam"])
        journal.close()
        await scene.talk.tap("May I ask", "4️⃣")  # no question that waits for an answer: this says nothing
        await scene.talk.tap(PAIN, "3️⃣")
        async with clinic.running():
            await scene.talk.hears("any sudden sharp pain")
            await scene.talk.tap(PAIN, "5️⃣")
            await scene.talk.say("no", "Today:")
            assert [each.walking for each in clinic.state("sam").mornings] == [3]
