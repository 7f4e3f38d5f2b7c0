"""A whole day in encrypted rooms: enrolled, asked, approved, trained, a red flag, somebody who takes it, let go on."""

from datetime import timedelta

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, Talk, enrolled, people
from tests.matrix.people import Town, bounded

TIER_WAIT = timedelta(minutes=61)
"""Nobody took a same-day alert for an hour: the next one is called (the programme's own number is 60 minutes)."""


@bounded(90)
async def test_day_goes_through_encrypted_rooms(town: Town) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(lee, CLINICIANS)
            await desk.hears("This is your desk")
            talk = await enrolled(clinic, desk, sam, "Sam")
            await desk.say("approve Sam", "approved")
            clinic.clock.to(2, 8, 1)
            await talk.hears("How much does your left leg hurt")
            await talk.say("2 no", "1. Two-leg slider")
            await talk.say("done", "What did you do")
            await talk.say("3x8 full 2", "This was: Single-leg hinge")
            await talk.say("3x8 each side full 2", "any sudden sharp pain")
            await talk.say("no", "How hard")
            await talk.say("5, 25 min", "Thank you, all noted")
            await talk.say("felt a pop when I got up", "Please stop all training for now")
            await common.hears("felt a pop")
            await desk.hears("felt a pop")
            mentioned = desk.person.messages(desk.room)[-1].source["content"]["m.mentions"]
            assert mentioned == {"user_ids": [lee.user_id]}
            await desk.tap("felt a pop", "✅")
            await talk.hears(f"lee-{town.tag} has read the message about you")
            await desk.say("release Sam seen, all fine", "Write yes")
            await desk.say("yes", "Sam is released: seen, all fine")
            await talk.hears("training may go on")
            assert clinic.state("sam").hold is None
            rooms = [await clinic.room(key) for key in (sam.user_id, lee.user_id, CLINICIANS)]
            here = [(p, room) for room in rooms for p in (sam, lee) if room in p.client.rooms]
            assert len(here) == 3 and all(person.client.rooms[room].encrypted for person, room in here)


@bounded(90)
async def test_taps_answer_with_the_setting(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee], taps=True)
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await desk.say("approve Sam", "approved")
            clinic.clock.to(2, 8, 1)
            question = "How much does your left leg hurt"
            await talk.hears(question)
            await sam.sees(lambda: len(taps(talk, question)) == 11)
            await talk.tap(question, "3️⃣")
            await talk.hears("any sudden sharp pain")
            await talk.tap(question, "7️⃣")  # the question is answered: this says nothing any more
            await talk.tap("any sudden sharp pain", "❌")
            await talk.hears("Today:")
            morning = clinic.state("sam").morning
            assert morning is not None and (morning.walking, morning.sudden) == (3, False)


def taps(talk: Talk, words: str) -> list[str]:
    """The reactions under the last message with these words."""
    under = [e.source["content"]["m.relates_to"] for room, e in talk.person.seen if e.source["type"] == "m.reaction"]
    return [each["key"] for each in under if each["event_id"] == talk.event(words)]


@bounded(90)
async def test_reply_takes_an_alert(town: Town) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [lee, kim])
        async with clinic.running():
            desk = await clinic.enters(lee)
            common = await clinic.enters(kim, CLINICIANS)
            other = await clinic.enters(kim)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await talk.say("I cannot walk any more", "clinician")
            await desk.hears("cannot walk")
            clinic.clock.ahead += TIER_WAIT
            await other.hears("cannot walk")  # the next one on the list
            event = common.event("cannot walk")
            await kim.say(common.room, "I call him", **{"m.relates_to": {"m.in_reply_to": {"event_id": event}}})
            await talk.hears(f"kim-{town.tag} has read the message about you")
            alerts = clinic.state("sam").alerts.values()
            assert [alert.taken_by for alert in alerts] == [f"kim-{town.tag}"]


@bounded(60)
async def test_tap_before_the_note_counts(town: Town) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await talk.say("felt a pop", "Please stop all training")
            await desk.hears("felt a pop")
            await desk.quiet()
        journal = clinic.journal()  # as if it had been killed after the alert was said and before that was noted
        journal.forget([f"matrix alert {desk.event('felt a pop')}"])
        journal.close()
        await desk.tap("felt a pop", "👍")
        async with clinic.running():
            await talk.hears("has read the message about you")
