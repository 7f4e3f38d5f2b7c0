"""A whole day in encrypted rooms: enrolled, asked, approved, trained, a red flag, somebody who takes it, let go on."""

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, enrolled, people
from tests.matrix.people import Town, bounded


@bounded(100)
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
            await talk.say("felt a pop when I got up", "Stop")
            alert = await common.hears("sam")
            await desk.hears("felt a pop when I got up")
            mentioned = desk.person.messages(desk.room)[-1].source["content"]["m.mentions"]
            assert mentioned == {"user_ids": [lee.user_id]}
            await desk.tap("felt a pop", "✅")
            await talk.hears("lee")
            assert clinic.state("sam").hold and "felt a pop" in alert
            await desk.say("release Sam seen, all fine", "Write yes")
            await desk.say("yes", "Sam")
            await talk.hears("lee")
            assert clinic.state("sam").hold is None
