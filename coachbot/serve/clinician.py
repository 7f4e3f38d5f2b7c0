"""What a clinician or the owner does: lines of the desk, enrolling, taking an alert; rights are the core's."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from coachbot.channels.matrix.answers import Later, Refused
from coachbot.channels.matrix.arrival import Arrival
from coachbot.channels.matrix.rooms import NoSuchPerson
from coachbot.coach import Coach
from coachbot.core.desk.acts import FITS
from coachbot.core.desk.address import address as named
from coachbot.core.desk.grammar import read
from coachbot.core.desk.rights import may
from coachbot.journal import Person
from coachbot.serve import taps
from coachbot.serve.config import MATRIX_ID
from coachbot.serve.house import House
from coachbot.serve.owed import Owed, owed
from coachbot.serve.post import Post


@dataclass(frozen=True)
class Clinician:
    """What is shown goes to the person's own room, wherever the line was written."""

    coach: Coach
    house: House
    post: Post
    clock: Callable[[], datetime]

    async def alert(self, arrival: Arrival) -> tuple[str, str] | None:
        """The case and the alert that a reply or a tap is about."""
        if arrival.relates_to is None:
            return None
        kept = self.coach.journal.kept(f"matrix alert {arrival.relates_to}") or await self._just_said(arrival)
        case, _, alert = kept.partition(" ")
        return (case, alert) if alert else None

    async def _just_said(self, arrival: Arrival) -> str:
        """The same of an alert that was said, but not yet marked so when the coach last stopped: the id tells."""
        message = await self.house.said(arrival.room, arrival.relates_to or "")
        return f"{message.case} {message.alert}" if message and message.alert else ""

    def wants_board(self, line: str) -> bool:
        """Whether a line asks for the board, or for nothing in particular."""
        self.coach.prepare("en")
        return not line.strip() or read(line, self.coach.book, FITS).act == "board"

    async def take(self, person: Person, arrival: Arrival, line: str) -> None:
        """One thing that this person did."""
        about = await self.alert(arrival)
        match arrival.kind:
            case "tap":
                if about and arrival.text in taps.SEEN:
                    self._acknowledge(person, *about, arrival)
            case "text" if about and read(line, self.coach.book, FITS).act in (None, "acknowledge"):
                self._acknowledge(person, *about, arrival)
            case "text":
                await self._line(person, arrival, line)
            case "edit":
                await self._tell(person, arrival, self.post.text("matrix.line_edited"))
            case "other":
                await self._tell(person, arrival, self.post.text("matrix.only_words"))
            case "undecryptable":
                await self._tell(person, arrival, self.post.text("matrix.unreadable"))
            case _:
                pass  # coming and going is the inbox's

    def _acknowledge(self, person: Person, case: str, alert: str, arrival: Arrival) -> None:
        """A tap or a reply takes the alert; a colleague who is not on the list of the case takes it over."""
        if case not in self.coach.cases():
            return
        on_list = person.id in self.coach.case(case).clinicians
        line = f"acknowledge {alert}" if on_list else f"take over {alert}"
        self.coach.act(person.id, case, line, self.clock(), arrival.event_id)

    async def _line(self, person: Person, arrival: Arrival, line: str) -> None:
        self.coach.prepare("en")
        order = read(line, self.coach.book, FITS)
        if order.act == "enrol":
            return await self._enrol(person, arrival, order.rest.line)
        if await self._picture(person, arrival, line):
            return None
        before = self.house.people.athletes()
        with self.coach.together():
            shown = self.coach.post(person.id, line, self.clock(), arrival.event_id)
            left = self._parted(before)
        for room in left:
            self.post.beside(self.house.courier.rooms.leave(room))
        return await self._tell(person, arrival, shown) if shown else None

    async def _tell(self, person: Person, arrival: Arrival, text: str) -> None:
        await self.post.answer(person.address or "", f"shown-{arrival.event_id}", text)

    # ---- enrolling ---------------------------------------------------------------------------------------------

    async def _enrol(self, person: Person, arrival: Arrival, line: str) -> None:
        """Make the athlete's room and ask them in; the rest begins when they come."""
        if not may(person.role, person.id, "enrol", None, self.coach.book):
            return await self._tell(person, arrival, self.post.text("desk.no_right"))
        found = MATRIX_ID.search(line)
        name = " ".join(line[found.end() :].split()) if found else ""
        if found is None or not name:
            return await self._tell(person, arrival, self.post.text("matrix.enrol_how"))
        return await self._tell(person, arrival, await self._enrolled(person, found[0], name))

    async def _enrolled(self, person: Person, address: str, name: str) -> str:
        known = self.coach.journal.person_at(address)
        if (known and known.role != "athlete") or address == self.house.courier.user_id:
            return self.post.text("matrix.enrol_part", who=address)
        open_case = known and known.case and self.coach.case(known.case).course != "closed"
        if not open_case:
            try:
                await self.house.furnish(address)
            except NoSuchPerson:
                return self.post.text("matrix.enrol_nobody", who=address)
            except (Refused, Later) as trouble:
                return self.post.text("matrix.enrol_failed", who=address, why=str(trouble))
            self._begin(person, address, known.name if known else name)
        return self.post.text("matrix.enrolled", name=known.name if known else name, who=address)

    def _begin(self, person: Person, address: str, name: str) -> None:
        order = tuple(each.id for each in self.house.people.clinicians())
        by = person.id if person.id in order else order[0]
        zone = self.house.config.zone
        self.coach.enrol(name, by, self.clock(), zone=zone, address=address, on_call=order)

    def _parted(self, before: list[Person]) -> list[str]:
        """Of whoever was erased nothing stays; the rooms to leave."""
        here = {person.address for person in self.house.people.athletes()}
        gone = [person for person in before if person.address and person.address not in here]
        return [room for person in gone for room in self._forgotten(person, person.address or "")]

    def _forgotten(self, person: Person, address: str) -> list[str]:
        rooms = self.house.kept.rooms(address)
        names = [f"room {address}", f"unread {person.id}", f"asked {person.id}"]
        names += [f"{what} {room}" for room in rooms for what in ("key", "before", "replaced")]
        names += [each.name.removeprefix("matrix ") for each in owed(self.coach.journal, address)]
        names += [f"{what} {person.case}" for what in ("agreed", "asked consent", "answer")]
        alerts = self.coach.journal.all_kept("matrix alert ").items()
        names += [key.removeprefix("matrix ") for key, value in alerts if value.split(" ")[0] == person.case]
        self.coach.journal.forget([f"matrix {name}" for name in names])
        return rooms

    # ---- the picture -------------------------------------------------------------------------------------------

    async def _picture(self, person: Person, arrival: Arrival, line: str) -> bool:
        """Whether the line asks for an athlete's picture; it is shown to whoever may read the case."""
        first, _, rest = line.strip().partition(" ")
        if first.lower() not in self.coach.book.texts["en"].choices["matrix"]["picture"] or not rest:
            return False
        names = {case: self.coach.case(case).name for case in self.coach.cases()}
        cases, _ = named(re.sub(r"\Aof\s+", "", rest), names)
        mine = [case for case in cases if may(person.role, person.id, "show", self.coach.case(case), self.coach.book)]
        if len(mine) != 1:
            await self._tell(person, arrival, self.post.text("matrix.picture_whose"))
            return True
        self.post.owe(Owed(person.address or "", f"picture-{arrival.event_id}", case=mine[0]))
        return True
