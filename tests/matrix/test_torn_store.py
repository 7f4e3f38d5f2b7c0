"""A coach killed while it keeps a room key can still read what was said under it."""

import pytest
from nio.crypto import Olm

from coachbot.channels.hardening import Careful
from tests.matrix.people import Town, bounded


class Killed(BaseException):
    """The process ends here; nothing in it can catch that."""


def die(*_: object) -> None:
    raise Killed


async def killed_at_room_key(town: Town, patch: pytest.MonkeyPatch) -> str:
    """The ratchet of a room key is kept, the coach dies, the key is not: what the next start reads."""
    async with town.person("anna") as anna:
        async with town.coach() as before:
            room = await before.room_for(anna)
        await anna.say(room, "3")
        with patch.context() as dying, pytest.raises(BaseExceptionGroup) as ended:
            dying.setattr(Careful, "save_inbound_group_session", die)
            async with town.coach(before.position, before.book):
                pass
        assert ended.group_contains(Killed)
        async with town.coach(before.position, before.book, grace=1.0) as after:
            return (await after.gets(lambda a: a.kind in ("text", "undecryptable"))).text


@bounded()
async def test_key_and_ratchet_are_kept_together(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    assert await killed_at_room_key(town, monkeypatch) == "3"


@bounded()
async def test_key_is_lost_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Careful, "handle_to_device_event", Olm.handle_to_device_event)
    assert await killed_at_room_key(town, monkeypatch) == ""
