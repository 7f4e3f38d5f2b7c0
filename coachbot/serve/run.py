"""Runs the coach in Matrix until it is stopped: listens, speaks, and lets the clock speak; it decides nothing."""

import asyncio
import logging
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta

import coachbot
from coachbot.channels.matrix.answers import Refused, steadily
from coachbot.channels.matrix.courier import Courier, opened
from coachbot.coach import Coach
from coachbot.language import REFERENCE
from coachbot.serve.config import Config
from coachbot.serve.house import House, Kept
from coachbot.serve.inbox import POSITION, Inbox
from coachbot.serve.people import People
from coachbot.serve.post import Post

log = logging.getLogger(__name__)

LOOK = 2.0
"""Longest time in seconds between two looks for what is due and what other processes wrote into the file."""

SOON = 0.1
"""Shortest time in seconds between two looks, also when something stays due."""


async def serve(
    config: Config,
    clock: Callable[[], datetime],
    look: float = LOOK,
    ready: Callable[[], None] = lambda: None,
    **waits: float,
) -> None:
    """Until cancelled; `ready` is called once, when every room is there.

    Raises LoginNeeded, LoginGone or JournalError, each a sentence for the operator.
    """
    coach = coachbot.open(config.store, meaning=config.meaning)
    people = People(coach, config)
    people.seat(clock())
    kept = Kept(coach.journal, clock)
    try:
        if config.meaning:
            coach.prepare(REFERENCE)  # what is lacking is said now, and not at the first message
        async with opened(config.login, kept, **waits) as courier:
            await _together(coach, House(courier, people, config, kept), clock, look, ready)
    except BaseExceptionGroup as several:
        raise _first(several) from several
    finally:
        coach.journal.close()


def _first(group: BaseException) -> BaseException:
    while isinstance(group, BaseExceptionGroup):  # the first cause says it; the others were stopped by it
        group = group.exceptions[0]
    return group


async def _together(
    coach: Coach, house: House, clock: Callable[[], datetime], look: float, ready: Callable[[], None]
) -> None:
    async with asyncio.TaskGroup() as group:
        post = Post(coach, house, clock, group, house.config.taps)
        inbox = Inbox(coach, house, post, clock, asyncio.Event())
        position = coach.journal.kept(POSITION)
        group.create_task(house.courier.listen(position, inbox.take, inbox.position))
        await inbox.listening.wait()  # what was said while the coach was away comes before what the clock says
        post.follow()
        await _move_in(house)
        post.resume()
        await post.departed()
        coach.start(clock())
        ready()
        group.create_task(_watch(coach, post, inbox, clock, look))


async def _move_in(house: House) -> None:
    """Take the coach's name, and see that every room is there; whoever cannot be invited is left to the doctor."""
    await _named(house.courier, house.config.name)
    for key in house.all():
        try:
            if house.kept.get(key) is None or key in house.common():
                await steadily(lambda: house.furnish(key), None)  # noqa: B023
        except Refused as no:
            log.warning("There is no room for %s: %s", key, no)


async def _named(courier: Courier, name: str) -> None:
    path = ("client", "v3", "profile", courier.user_id, "displayname")
    with suppress(Refused):  # some homeservers keep names to themselves
        await steadily(lambda: courier.client.call("PUT", *path, body={"displayname": name}), None)


async def _watch(coach: Coach, post: Post, inbox: Inbox, clock: Callable[[], datetime], look: float) -> None:
    """The clock: do what is due, say what waits, sleep until the next thing."""
    while True:
        now = clock()
        coach.tick(now)
        for person in inbox.athlete.late(now):
            with coach.together():  # else a kill in between would leave everybody untold
                coach.journal.forget([f"matrix unread {person.id}"])
                post.notice("matrix.unread_stays", f"{person.id} {now}", name=person.name)
        post.wake()
        due = coach.next_wake()
        wait = (due - now) / timedelta(seconds=1) if due else look
        await asyncio.sleep(min(look, max(wait, SOON)))
