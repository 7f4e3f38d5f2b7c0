"""Each clinician gets the morning's news once, in their own room; the owner hands over and sees no answers."""

from tests.matrix.clinic import Clinic, enrolled, people
from tests.matrix.people import Town, bounded, until

NEWS = "Sam"


@bounded(90)
async def test_each_clinician_gets_the_digest(town: Town) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [lee, kim], digest_hour=7)
        async with clinic.running():
            desks = [await clinic.enters(each) for each in (lee, kim)]
            for desk in desks:
                await desk.hears("This is your desk")
            await enrolled(clinic, desks[0], sam, "Sam")
            await desks[0].quiet()
            for day in (1, 2):
                for desk in desks:
                    desk.read = len(desk.person.heard(desk.room))
                clinic.clock.to(day, 7, 1)
                for desk in desks:
                    await desk.hears(NEWS)
                    assert await desk.quiet() == []


@bounded(90)
async def test_digest_ends_with_the_part(town: Town) -> None:
    """The news of a clinician who left goes to nobody else."""
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [lee, kim], digest_hour=7)
        async with clinic.running():
            desk = await clinic.enters(lee)
            await enrolled(clinic, desk, sam, "Sam")
        clinic.settings["clinicians"] = [lee.user_id]
        async with clinic.running():
            await desk.hears("no longer in the settings")
            await desk.quiet()
            desk.read = len(lee.heard(desk.room))
            clinic.clock.to(1, 7, 1)
            await desk.hears(NEWS)
            assert await desk.quiet(5) == []


@bounded(90)
async def test_owner_rules_without_reading(town: Town) -> None:
    async with people(town, "lee", "kim", "olga", "sam") as (lee, kim, olga, sam):
        clinic = Clinic(town, [lee, kim], owner=olga.user_id)
        async with clinic.running():
            desk = await clinic.enters(lee)
            office = await clinic.enters(olga)
            hello = await office.hears("This is your desk")
            assert "Alerts" not in hello
            talk = await enrolled(clinic, desk, sam, "Sam")
            await talk.say("felt a pop", "Please stop all training")
            await desk.hears("felt a pop")
            for line in ("show Sam", "why Sam", "digest", "picture Sam", "release Sam seen", "approve Sam"):
                said = await office.say(line, "")
                assert "pop" not in said and "of 10" not in said and "on hold" not in said, line
            await office.quiet()
            assert clinic.state("sam").hold and clinic.state("sam").approved_by is None
            await office.say(f"hand Sam to kim-{town.tag}", f"kim-{town.tag} has the case of Sam now")
            assert clinic.state("sam").clinicians[0] == f"kim-{town.tag}"
            await office.say("board", "")
            await office.say("erase Sam", "Write yes")
            await office.say("yes", "Erased")
            await until(lambda: clinic.kept(f"matrix room {sam.user_id}") is None)
            assert not [said for said in olga.heard(office.room) if "pop" in said]


@bounded(60)
async def test_owner_enrols_for_the_first_clinician(town: Town) -> None:
    async with people(town, "lee", "olga", "sam") as (lee, olga, sam):
        clinic = Clinic(town, [lee], owner=olga.user_id)
        async with clinic.running():
            office = await clinic.enters(olga)
            await office.say(f"enrol {sam.user_id} Sam", "is enrolled")
            talk = await clinic.enters(sam)
            await talk.hears(f"lee-{town.tag} asked me")
            assert clinic.state("sam").clinicians == (f"lee-{town.tag}",)
