"""People try to get data out of the coach, or to do what is not theirs; nothing leaks and nothing changes."""

import json

from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal
from tests.matrix.clinic import Clinic, Talk, enrolled, people, told
from tests.matrix.people import Person, Town, bounded, until
from tests.matrix.scenes import POP, cast, clinic_day, morning, red_flag, taken_in

ENCRYPTED = {"type": "m.room.encryption", "state_key": "", "content": {"algorithm": "m.megolm.v1.aes-sha2"}}


async def invites(person: Person, coach: str) -> Talk:
    """A room that the person made, with the coach asked in."""
    made = await person.client.room_create(invite=[coach], initial_state=[ENCRYPTED])
    room = str(made.room_id)
    await person.sees(lambda: room in person.client.rooms and person.client.rooms[room].encrypted)
    return Talk(person, room)


def left(talk: Talk, coach: str) -> bool:
    """Whether the coach has gone from the room."""
    states = [e.source for room, e in talk.person.seen if room == talk.room and e.source["type"] == "m.room.member"]
    return any(e["state_key"] == coach and e["content"]["membership"] == "leave" for e in states)


async def as_coach(clinic: Clinic, person: Person, path: str, body: dict[str, str]) -> None:
    """A request with the coach's own token, as somebody would who had got hold of it."""
    token = json.loads((clinic.town.folder / "coach" / "login.json").read_text())["token"]
    headers = {"Authorization": f"Bearer {token}"}
    answer = await person.client.send("POST", f"/_matrix/client/v3/{path}", json.dumps(body), headers)
    assert answer.status == 200, await answer.text()


@bounded()
async def test_strangers_get_one_sentence(town: Town) -> None:
    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            await clinic.enters(lee)
            await mallory.client.set_displayname("lee")  # a name is no proof of anything
            first = await invites(mallory, clinic.coach_id)
            await first.hears("I only talk with people whose clinician has enrolled them")
            await mallory.sees(lambda: left(first, clinic.coach_id))
            second = await invites(mallory, clinic.coach_id)
            await mallory.sees(lambda: left(second, clinic.coach_id))
            assert (len(first.person.messages(first.room)), second.person.messages(second.room)) == (1, [])


@bounded()
async def test_athletes_learn_nothing_and_give_no_orders(town: Town) -> None:
    """One of them calls himself by the clinician's id, then by her name."""
    async with people(town, "ben", "zoe") as (ben, zoe), clinic_day(town) as scene:
        await enrolled(scene.clinic, scene.desk, ben, "Ben")
        sam = scene.talk.person
        await sam.client.set_displayname(scene.desk.person.user_id)
        await told(scene.talk, ("show Ben", "Ben", "caseload", "digest", "board", "why Ben", "picture Ben"))
        assert not [said for said in sam.heard(scene.talk.room) if "Ben" in said]
        await red_flag(scene)
        await sam.client.set_displayname("lee")
        enrol = f"enrol {zoe.user_id} Zoe"
        await told(scene.talk, ("approve Sam", "release Sam all fine", "yes", enrol, "limit Sam 5"))
        state = scene.clinic.state("sam")
        assert state.approved_by is None and state.hold and not state.limits
        assert [alert.taken_by for alert in state.alerts.values()] == [None]
        await zoe.sync()
        assert not zoe.client.rooms and not zoe.client.invited_rooms


@bounded()
async def test_removed_clinician_sees_nothing_more(town: Town) -> None:
    async with people(town, "lee", "kim", "sam") as (lee, kim, sam):
        clinic = Clinic(town, [kim, lee])
        async with clinic.running():
            desk, gone, common = (
                await clinic.enters(lee),
                await clinic.enters(kim),
                await clinic.enters(kim, CLINICIANS),
            )
            await clinic.enters(lee, CLINICIANS)
            talk = await enrolled(clinic, desk, sam, "Sam")
            await gone.hears("This is your desk")
        clinic.settings["clinicians"] = [lee.user_id]
        await common.quiet()
        async with clinic.running():
            common.read, gone.read = len(kim.heard(common.room)), len(kim.heard(gone.room))
            await talk.say("felt a pop", "Please stop all training")
            warning = f"{kim.user_id} is in a room they are not meant to hear: the clinicians' room"
            for words in ("felt a pop", warning):  # in either order; kim was first on the list
                await lee.sees(lambda words=words: any(words in said for said in lee.heard(desk.room)))
            await kim.say(gone.room, "show Sam")
            await kim.say(
                common.room, f"{clinic.coach_id} release Sam seen", **{"m.mentions": {"user_ids": [clinic.coach_id]}}
            )
            assert (await common.quiet(5), await gone.quiet(5)) == ([], [])
            assert clinic.state("sam").hold


@bounded()
async def test_stranger_stops_the_clinicians_room(town: Town) -> None:
    async with people(town, "mallory") as (mallory,), clinic_day(town) as scene:
        common, lee = await scene.common(), scene.desk.person
        await common.hears("Sam has finished the intake")
        await as_coach(scene.clinic, mallory, f"rooms/{common.room}/invite", {"user_id": mallory.user_id})
        await mallory.joins(common.room)
        await scene.desk.hears(f"{mallory.user_id} is in a room they are not meant to hear")
        common.read = len(lee.heard(common.room))
        await red_flag(scene)
        assert await common.quiet() == []
        heard = Talk(mallory, common.room)
        assert await heard.quiet() == [] and not mallory.messages(common.room)
        await mallory.client.room_leave(common.room)
        await lee.sees(lambda: mallory.user_id not in lee.client.rooms[common.room].users)
        await scene.desk.tap(POP, "✅")
        await scene.talk.hears("has read the message")


@bounded()
async def test_team_room_shows_no_answers(town: Town) -> None:
    async with (
        people(town, "finn") as (finn,),
        clinic_day(town, staff=[finn.user_id], team_room="Team") as scene,  # sam agrees: the team sees availability
    ):
        coach, sam = scene.clinic.coach_id, scene.talk.person
        team = await scene.clinic.enters(finn, TEAM)
        his = await scene.clinic.enters(sam, TEAM)
        await morning(scene)
        called = {"m.mentions": {"user_ids": [coach]}}
        await sam.say(his.room, "3")  # not said to the coach
        await sam.say(his.room, f"{coach}: 2 no", **called)
        await scene.talk.hears("Walking pain: 2 of 10")
        board = await team.say(f"{coach} board", "Sam", **called)
        await team.say("Coach: show Sam", "Sam", **called)
        assert "of 10" not in board and "rehab" in board.lower()
        said = [each for each in finn.heard(team.room) if "of 10" in each or "left leg" in each]
        assert said == []


@bounded()
async def test_markup_and_length_do_no_harm(town: Town) -> None:
    async with clinic_day(town, name="<i>Sam</i>") as scene:
        talk, common = scene.talk, await scene.common()
        await talk.say('felt a pop. <img src="x" onerror="alert(1)"> <b>now</b>', "Please stop all training")
        await scene.desk.hears(POP)
        content = scene.desk.person.messages(scene.desk.room)[-1].source["content"]
        assert "<i>" in content["body"] and "<i>" not in content["formatted_body"]
        assert "&lt;i&gt;Sam&lt;/i&gt;" in content["formatted_body"] and "<img" not in content["formatted_body"]
        await common.hears(POP)
        await talk.say("talk to my clinician", "clinician")
        await talk.say("é" * 7_000, "Your message")
        await common.person.sees(lambda: sum(s.count("é") for s in common.person.heard(common.room)) == 7_000)
        await talk.say("help", "correct")


@bounded()
async def test_edits_correct_the_last_answer_only(town: Town) -> None:
    async with clinic_day(town) as scene:
        talk = scene.talk
        await morning(scene)
        first = await talk.person.say(talk.room, "about as usual i guess")
        await talk.hears("0 is no pain")  # not understood, and asked again: the edit takes its place
        await talk.edit(first, "2", "any sudden sharp pain")
        await talk.edit(first, "3", "Walking pain: 3 of 10")
        await talk.say("no", "Today:")
        await talk.edit(first, "1", "I can only correct your last answer by an edit")
        assert [m.walking for m in scene.clinic.state("sam").mornings] == [3]
        await talk.edit(talk.event("Today:"), "9", "")  # the coach's own message: a word of his, no edit
        await talk.edit(first, POP, "Please stop all training")
        assert scene.clinic.state("sam").hold


@bounded()
async def test_replayed_events_change_nothing(town: Town) -> None:
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            position = str(await until(lambda: clinic.kept("matrix position")))
            scene = await taken_in(clinic, lee, sam)
            desk, talk = scene.desk, scene.talk
            await desk.say("approve Sam", "approved")
            await talk.quiet()
        before = (facts(clinic), sam.heard(talk.room), lee.heard(desk.room))
        journal = clinic.journal()
        journal.keep("matrix position", position)
        journal.close()
        async with clinic.running():
            await until(lambda: clinic.kept("matrix position") != position)
            await talk.quiet()
            await desk.quiet()
        assert (facts(clinic), sam.heard(talk.room), lee.heard(desk.room)) == before


def facts(clinic: Clinic) -> int:
    journal: Journal = clinic.journal()
    try:
        return journal.position("sam")
    finally:
        journal.close()
