"""Each clinician gets the morning's news once, in their own room; the owner hands over and sees no answers."""

from asyncio import gather

from tests.matrix.clinic import Clinic, people
from tests.matrix.people import Town, bounded, until
from tests.matrix.scenes import cast, clinic_day, red_flag, taken_in

NEWS = "Sam"


@bounded()
async def test_each_clinician_gets_the_digest(town: Town) -> None:
    async with people(town, "kim") as (kim,), clinic_day(town, kim, digest_hour=7) as scene:
        desks = [scene.desk, await scene.clinic.enters(kim)]
        await desks[1].hears("This is your desk")
        for day in (1, 2):
            await gather(*(desk.quiet() for desk in desks))
            for desk in desks:
                desk.read = len(desk.person.heard(desk.room))
            scene.clinic.clock.to(day, 7, 1)
            for desk in desks:
                await desk.hears(NEWS)
            assert await gather(*(desk.quiet() for desk in desks)) == [[], []]


@bounded()
async def test_digest_ends_with_the_part(town: Town) -> None:
    """The news of a clinician who left goes to nobody else."""
    async with people(town, "kim") as (kim,), cast(town, kim) as (clinic, lee, sam):
        clinic.settings["digest_hour"] = 7
        async with clinic.running():
            desk = (await taken_in(clinic, lee, sam)).desk
        clinic.settings["clinicians"] = [lee.user_id]
        async with clinic.running():
            await desk.hears("no longer in the settings")
            await desk.quiet()
            desk.read = len(lee.heard(desk.room))
            clinic.clock.to(1, 7, 1)
            await desk.hears(NEWS)
            assert await desk.quiet(5) == []


@bounded()
async def test_owner_rules_without_reading(town: Town) -> None:
    async with people(town, "kim", "olga") as (kim, olga), clinic_day(town, kim, owner=olga.user_id) as scene:
        clinic, sam = scene.clinic, scene.talk.person
        office = await clinic.enters(olga)
        hello = await office.hears("This is your desk")
        assert "Alerts" not in hello
        await red_flag(scene)
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


@bounded()
async def test_owner_enrols_for_the_first_clinician(town: Town) -> None:
    async with people(town, "lee", "olga", "sam") as (lee, olga, sam):
        clinic = Clinic(town, [lee], owner=olga.user_id)
        async with clinic.running():
            office = await clinic.enters(olga)
            await office.say(f"enrol {sam.user_id} Sam", "is enrolled")
            talk = await clinic.enters(sam)
            await talk.hears(f"lee-{town.tag} asked me")
            assert clinic.state("sam").clinicians == (f"lee-{town.tag}",)
