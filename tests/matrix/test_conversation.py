"""The coach and an athlete talk in an encrypted room."""

from tests.matrix.people import Town, bounded


@bounded()
async def test_both_read_each_other(town: Town) -> None:
    async with town.coach() as coach, town.person("anna") as anna:
        room = await coach.room_for(anna)
        await coach.courier.send(room, "m-1", "How is the walking pain, 0 to 10?")
        await anna.hears(room, "How is the walking pain, 0 to 10?")
        event = await anna.say(room, "3")
        arrival = await coach.hears("3")
        assert (arrival.sender, arrival.room, arrival.event_id) == (anna.user_id, room, event)
