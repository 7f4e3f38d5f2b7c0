"""A one-time key the homeserver hands out is one the coach still has, whatever dies in between."""

import pytest

from coachbot.channels.hardening import Careful
from tests.matrix.people import Town, bounded, until
from tests.matrix.wire import wire


async def answer_is_lost(town: Town, patch: pytest.MonkeyPatch, *, saved: bool) -> str:
    """New keys reach the homeserver, its answer is lost, the coach dies: what it reads after a restart."""
    async with town.person("anna") as anna, town.person("mallory") as mallory:
        async with town.coach() as before:
            room = await before.room_for(anna)
        for _ in range(50):
            await mallory.claim(before.user_id, before.client.device_id)
        async with wire(town.url) as line:
            line.lose_answers_to = "/keys/upload"
            with patch.context() as switched_off:
                if not saved:
                    switched_off.setattr(Careful, "save_account", lambda *_: None)
                async with town.coach(before.position, before.book, url=line.url):
                    await until(lambda: any("/keys/upload" in asked for asked in line.asked))
        await anna.say(room, "3")
        async with town.coach(before.position, before.book, grace=1.0) as after:
            return (await after.gets(lambda a: a.kind in ("text", "undecryptable"))).text


@bounded()
async def test_keys_are_saved_before_upload(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    assert await answer_is_lost(town, monkeypatch, saved=True) == "3"


@bounded()
async def test_keys_are_lost_without_rule(town: Town, monkeypatch: pytest.MonkeyPatch) -> None:
    assert await answer_is_lost(town, monkeypatch, saved=False) == ""
