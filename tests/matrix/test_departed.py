"""A clinician who was taken out of the settings: alerts pass them by, and it is said what to do."""

from datetime import timedelta

from coachbot.core.desk.alerts import waiting
from coachbot.serve.doctor import examine
from tests.matrix.clinic import Clinic, enrolled, people
from tests.matrix.people import Town, bounded


@bounded()
async def test_alerts_pass_by_who_left(town: Town) -> None:
    async with people(town, "lee", "kim", "ann", "sam") as (lee, kim, ann, sam):
        clinic = Clinic(town, [kim, lee, ann])
        async with clinic.running():
            desk, other = await clinic.enters(lee), await clinic.enters(ann)
            talk = await enrolled(clinic, desk, sam, "Sam")
        clinic.settings["clinicians"] = [lee.user_id, ann.user_id]
        gone = f"kim-{town.tag}"
        async with clinic.running():
            said = await desk.hears(f"{gone} is no longer in the settings, but still on the list of: Sam")
            assert f"hand Sam to lee-{town.tag}" in said
            await talk.say("felt a pop", "Please stop all training")
            assert [alert.to for alert in waiting(clinic.state("sam"))] == [f"lee-{town.tag}"]
            clinic.clock.ahead += timedelta(minutes=61)
            await other.hears("felt a pop")  # the next after lee, and not kim
            found = {each.what: each for each in await examine(clinic.config(), clinic.clock)}
            assert (
                not found[f"clinician {gone}"].well and f"hand Sam to lee-{town.tag}" in found[f"clinician {gone}"].said
            )
            await desk.say(f"hand Sam to lee-{town.tag}", "has the case of Sam now")
            assert gone not in clinic.state("sam").clinicians
            found = {each.what: each for each in await examine(clinic.config(), clinic.clock)}
            assert f"clinician {gone}" not in found
        desk.read = len(lee.heard(desk.room))
        async with clinic.running():
            assert not [each for each in await desk.quiet() if "no longer in the settings" in each]


@bounded()
async def test_who_comes_back_is_called_again(town: Town) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [kim, lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            talk = await enrolled(clinic, desk, sam, "Sam")
        for clinicians in ([lee.user_id], [lee.user_id, kim.user_id]):
            clinic.settings["clinicians"] = clinicians
            async with clinic.running():
                await talk.quiet()
        async with clinic.running():
            his = await clinic.enters(kim)
            await talk.say("felt a pop", "Please stop all training")
            await his.hears("felt a pop")
            assert [alert.to for alert in waiting(clinic.state("sam"))] == [f"kim-{town.tag}"]
