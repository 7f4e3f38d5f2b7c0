"""In a room that is not of its making the coach says one sentence and leaves; no words of anybody are said there."""

from tests.matrix.clinic import Clinic, Talk, people
from tests.matrix.people import Person, Town, bounded
from tests.matrix.scenes import POP, cast, taken_in

STRANGER = "I only talk with people whose clinician has enrolled them"
ELSEWHERE = "Please write to me in our own room, which is encrypted"


async def open_room(person: Person, coach: str, first: str = "") -> Talk:
    """A room without encryption that the person has made, said something in, and brought the coach into."""
    room = str((await person.client.room_create()).room_id)
    await person.sees(lambda: room in person.client.rooms)
    if first:
        await person.say(room, first)
    await person.client.room_invite(room, coach)
    return Talk(person, room)


def gone(talk: Talk, coach: str) -> bool:
    return coach not in talk.person.client.rooms[talk.room].users and any(
        e.source["type"] == "m.room.member" and e.source["state_key"] == coach and e.source["sender"] == coach
        for room, e in talk.person.seen
        if room == talk.room and e.source.get("content", {}).get("membership") == "leave"
    )


@bounded()
async def test_stranger_hears_one_sentence(town: Town) -> None:
    async with people(town, "lee", "mallory") as (lee, mallory):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            await clinic.enters(lee)
            first = await open_room(mallory, clinic.coach_id, "who is in treatment here?")
            await first.hears(STRANGER)
            await mallory.sees(lambda: gone(first, clinic.coach_id))
            second = await open_room(mallory, clinic.coach_id)
            await mallory.sees(lambda: gone(second, clinic.coach_id))
            assert (len(mallory.messages(first.room)), mallory.messages(second.room)) == (1, [])


@bounded()
async def test_athlete_is_sent_to_own_room(town: Town) -> None:
    """The athlete asked the coach into an open room; then the operator put it into one while it was away.

    Of the second no invitation tells, only the words in it.
    """
    async with town.admin() as admin, cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            heard_at = clinic.state("sam").heard_at
            plain = await open_room(sam, clinic.coach_id, "my leg hurts 9")
            said = await plain.hears(ELSEWHERE)
            assert "9" not in said and "leg" not in said and "Sam" not in said
            await sam.sees(lambda: gone(plain, clinic.coach_id))
            assert len(sam.messages(plain.room)) == 1
            assert clinic.state("sam").heard_at == heard_at
            await scene.talk.say("help", "correct")
        levels = {"invite": 0}
        made = await sam.client.room_create(invite=[admin.user_id], power_level_override=levels)
        room = str(made.room_id)
        await admin.sees(lambda: room in admin.client.rooms)
        await admin.request("POST", f"/_synapse/admin/v1/join/{room}", {"user_id": clinic.coach_id})
        await sam.sees(lambda: room in sam.client.rooms and clinic.coach_id in sam.client.rooms[room].users)
        await sam.say(room, POP)
        async with clinic.running():
            talk = Talk(sam, room)
            said = await talk.hears(ELSEWHERE)
            assert "pop" not in said
            await sam.sees(lambda: gone(talk, clinic.coach_id))
            assert len([e for e in sam.messages(room) if e.sender == clinic.coach_id]) == 1
