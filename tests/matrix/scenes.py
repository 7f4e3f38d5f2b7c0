"""The scenes that many Matrix tests share: an athlete taken in, the first morning, a session, a red flag."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass

from coachbot.core.effects import CLINICIANS
from tests.matrix.clinic import Clinic, Talk, enrolled, people
from tests.matrix.people import Person, Town

PAIN = "How much does your left leg hurt"
"""The question of the morning, to who has answered the usual intake."""
SESSION = (
    ("2 no", "1. Two-leg slider"),
    ("done", "What did you do"),
    ("3x8 full 2", "Single-leg hinge"),
    ("3x8 each side full 2", "any sudden sharp pain"),
    ("no", "How hard"),
    ("5, 25 min", "all noted"),
)
"""The first check-in and session: what the athlete says, and the answer."""
POP = "felt a pop"
"""A red flag."""
FIRST_MORNING = 2
"""The first day, from today, on which the athlete is asked how the leg is."""


@dataclass(frozen=True)
class Scene:
    """The clinic, a clinician at their desk, and an athlete in their room."""

    clinic: Clinic
    desk: Talk
    talk: Talk

    async def common(self) -> Talk:
        """The clinician enters the clinicians' room."""
        return await self.clinic.enters(self.desk.person, CLINICIANS)


@asynccontextmanager
async def cast(town: Town, *colleagues: Person) -> AsyncIterator[tuple[Clinic, Person, Person]]:
    """A clinic whose coach is not running yet, its first clinician lee, and sam, who becomes its athlete."""
    async with people(town, "lee", "sam") as (lee, sam):
        clinic = Clinic(town, [lee, *colleagues])
        yield clinic, lee, sam


async def taken_in(clinic: Clinic, lee: Person, sam: Person, name: str = "Sam", *, spoken: bool = False) -> Scene:
    """Lee enrols sam, who agrees and answers the intake."""
    desk = await clinic.enters(lee)
    return Scene(clinic, desk, await enrolled(clinic, desk, sam, name, spoken=spoken))


@asynccontextmanager
async def clinic_day(
    town: Town, *colleagues: Person, name: str = "Sam", spoken: bool = False, **settings: object
) -> AsyncIterator[Scene]:
    """The coach runs until the end of the block, and sam has been taken in."""
    async with cast(town, *colleagues) as (clinic, lee, sam):
        clinic.settings |= settings
        async with clinic.running():
            yield await taken_in(clinic, lee, sam, name, spoken=spoken)


async def morning(scene: Scene, day: int = FIRST_MORNING, name: str = "Sam") -> None:
    """The plan is approved; on that day the athlete is asked how the leg is."""
    await scene.desk.say(f"approve {name}", "approved")
    scene.clinic.clock.to(day, 8, 1)
    await scene.talk.hears(PAIN)


async def session(scene: Scene) -> None:
    """The athlete answers the questions of the morning and trains."""
    for words, answer in SESSION:
        await scene.talk.say(words, answer)


async def red_flag(scene: Scene) -> None:
    """Something happens: the athlete is stopped, and the clinician gets the alert."""
    await scene.talk.say(POP, "Please stop all training")
    await scene.desk.hears(POP)
