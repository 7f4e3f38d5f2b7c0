"""A coach that dies in the middle of a turn has taken all of it or nothing."""

import pytest

from coachbot.journal import Journal
from coachbot.serve.run import serve
from tests.matrix.clinic import Clinic, people
from tests.matrix.people import Town, bounded


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


@bounded(60)
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
