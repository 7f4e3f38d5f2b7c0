"""A coach that dies in the middle of a turn has taken all of it or nothing."""

from datetime import timedelta

import pytest

from coachbot.journal import Journal
from coachbot.serve.run import serve
from tests.matrix.clinic import Clinic, people
from tests.matrix.people import Town, bounded
from tests.matrix.scenes import cast, taken_in
from tests.matrix.test_daily_life import sealed


class Died(Exception):
    """The coach was stopped here."""


def dies_at(beginning: str) -> object:
    """A journal that stops the coach before it keeps what begins so."""
    keep = Journal.keep

    def kept(self: Journal, key: str, value: str) -> None:
        if key.startswith(beginning):
            raise Died
        keep(self, key, value)

    return kept


@bounded()
async def test_answer_can_be_corrected_after_a_kill(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee])
        async with clinic.running():
            desk = await clinic.enters(lee)
            await desk.say(f"enrol {sam.user_id} Sam", "is enrolled")
            talk = await clinic.enters(sam)
            await talk.say("yes", "Which leg")
        answer = await sam.say(talk.room, "left")
        with monkeypatch.context() as patch, pytest.raises(Died):
            patch.setattr(Journal, "keep", dies_at("matrix answer"))
            await serve(clinic.config(), clinic.clock, look=0.1)
        async with clinic.running():
            await talk.hears("Is it your left leg?")
            await talk.edit(answer, "right", "Hurt leg: right")


@bounded()
async def test_unread_is_told_after_a_kill(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    async with cast(town) as (clinic, lee, sam):
        async with clinic.running():
            scene = await taken_in(clinic, lee, sam)
            await sealed(scene.talk)
            await scene.talk.hears("I could not read your last message")
            await scene.desk.say("help", "One line is one act")  # by now it is noted how far was read
        clinic.clock.ahead += timedelta(minutes=11)
        with monkeypatch.context() as patch, pytest.raises(Died):
            patch.setattr(Journal, "keep", dies_at("matrix owed"))
            await serve(clinic.config(), clinic.clock, look=0.1)
        async with clinic.running():
            await scene.desk.hears("A message of Sam could not be read")
