"""What an athlete does: words, corrections, taps and what cannot be read; the coach decides what follows."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from coachbot.channels.matrix.arrival import Arrival
from coachbot.coach import Coach
from coachbot.core.days import local_day
from coachbot.core.effects import TEAM
from coachbot.core.reading import Kind, Reading, clean, flags, read
from coachbot.core.state import IDLE, State
from coachbot.journal import Person
from coachbot.serve import taps
from coachbot.serve.house import House
from coachbot.serve.owed import Owed
from coachbot.serve.post import Post

UNREAD_WAIT = timedelta(minutes=10)  # until a clinician hears that a message could not be read (common practice)


@dataclass(frozen=True)
class Athlete:
    """Each arrival becomes one turn of the coach, under the id of its event, so that it is taken once."""

    coach: Coach
    house: House
    post: Post
    clock: Callable[[], datetime]

    async def came(self, person: Person) -> None:
        """The first time an athlete enters their room: who the coach is, and whether they want this at all."""
        state = self.coach.case(person.case or "")
        if not self._asked_consent(state):
            await self._ask_consent(person, state, "intro")
            self.coach.journal.keep(f"matrix asked consent {state.case}", "yes")

    async def take(self, person: Person, arrival: Arrival) -> None:
        """One thing that the athlete did in their room."""
        match arrival.kind:
            case "text":
                await self.said(person, arrival, arrival.text)
            case "edit":
                await self._edited(person, arrival)
            case "tap":
                await self._tapped(person, arrival)
            case "other":
                await self._tell(person, arrival, "matrix.only_words")
                if arrival.text:
                    await self.said(person, arrival, arrival.text)
            case "undecryptable":
                self.coach.journal.keep(f"matrix unread {person.id}", self.clock().isoformat())
                await self._tell(person, arrival, "matrix.unreadable")
            case _:
                pass  # coming and going is the inbox's

    async def said(self, person: Person, arrival: Arrival, text: str) -> None:
        """Words; before the athlete has agreed, nothing but a sign of danger is kept."""
        self.coach.journal.forget([f"matrix unread {person.id}"])
        state = self.coach.case(person.case or "")
        if clean(text).text in self._words("picture", state):
            return await self._picture(person, state, arrival)
        if not self._agreed(state) and not self._alarming(text, state):
            return await self._consent(person, state, arrival, text)
        self._hear(person, text, arrival)
        return None

    def late(self, at: datetime) -> list[Person]:
        """Athletes of whom something could not be read some time ago, and nothing was read since."""
        found = []
        for person in self.house.people.athletes():
            since = self.coach.journal.kept(f"matrix unread {person.id}")
            if since and at - datetime.fromisoformat(since) > UNREAD_WAIT:
                found.append(person)
        return found

    # ---- words -------------------------------------------------------------------------------------------------

    def _hear(
        self, person: Person, text: str, arrival: Arrival, edits: str | None = None, instead_of: str | None = None
    ) -> None:
        """One turn. What is due before these words is said first, as it would have been."""
        if self.coach.journal.taken(arrival.event_id) is not None:
            return
        case = person.case or ""
        before = self.coach.case(case)
        at = self._moment(before, arrival.at)
        self.coach.tick(at, case)
        with self.coach.together():  # else an edit of words heard just before a kill would find no answer to correct
            self.coach.hear(person.id, text, at, arrival.event_id, edits)
            after, event = self.coach.case(case), edits or instead_of or arrival.event_id
            answered = after.last_answer is not None and after.last_answer.at == at
            if answered:
                self.coach.journal.keep(f"matrix answer {case}", f"{event} {at.isoformat()}")
            asked_again = not answered and after.talk.topic == before.talk.topic != IDLE
            self.coach.journal.keep(f"matrix unclear {case}", event if asked_again else "")
        if self.coach.case(case).shares and not before.shares and self.house.config.team_room:
            self.post.beside(self.house.furnish(TEAM))

    def _moment(self, state: State, sent: datetime) -> datetime:
        """Now; but what was said on an earlier day, while the coach was away, counts for that day."""
        now = self.clock()
        if local_day(sent, state.zone) == local_day(now, state.zone):
            return now
        known = [at for at in (state.heard_at, state.ticked_at, state.course_since) if at]
        return min(now, max([sent, *known]))

    def _alarming(self, text: str, state: State) -> bool:
        self.coach.prepare(state.language)
        return flags(text, self.coach.book.languages[state.language]).verdict != "none"

    async def _edited(self, person: Person, arrival: Arrival) -> None:
        """An edit of the last answer corrects it, and of words that were not understood it takes their place.

        Of an older one, nothing can be told but a sign of danger.
        """
        state = self.coach.case(person.case or "")
        original = arrival.relates_to or ""
        if self.coach.journal.taken(original) != state.case:
            return await self.said(person, arrival, arrival.text)  # its first version was never read
        last = state.last_answer
        answered = f"{original} {last.at.isoformat()}" if last else ""
        if self.coach.journal.kept(f"matrix answer {state.case}") == answered:
            return self._hear(person, arrival.text, arrival, edits=original)
        if self.coach.journal.kept(f"matrix unclear {state.case}") == original:  # nothing is there to correct
            return self._hear(person, arrival.text, arrival, instead_of=original)
        if self._alarming(arrival.text, state):
            return self._hear(person, arrival.text, arrival)
        return await self._tell(person, arrival, "matrix.edited_late")

    async def _tapped(self, person: Person, arrival: Arrival) -> None:
        """A tap answers the question that is open, and no other."""
        state = self.coach.case(person.case or "")
        text = taps.read(arrival.text, state, self.coach.book) if self.house.config.taps else None
        if text is not None and await self._asks(person, state, arrival):
            self._hear(person, text, arrival)

    async def _asks(self, person: Person, state: State, arrival: Arrival) -> bool:
        """Whether the event tapped asks the open question: as noted, or just said when the coach last stopped."""
        noted = f"{arrival.relates_to} {taps.moment(state)}"
        if self.coach.journal.kept(f"matrix asked {person.id}") == noted:
            return True
        message = await self.house.said(arrival.room, arrival.relates_to or "")
        return message is not None and message.to == person.id and self.post.asks(message)

    # ---- agreeing ----------------------------------------------------------------------------------------------

    def _agreed(self, state: State) -> bool:
        """Whether the athlete said yes; who is already in talk with the coach is not asked about it."""
        talking = state.course != "enrolled" or state.hold is not None or state.talk.topic != IDLE
        return talking or self.coach.journal.kept(f"matrix agreed {state.case}") is not None

    def _asked_consent(self, state: State) -> bool:
        return self.coach.journal.kept(f"matrix asked consent {state.case}") is not None

    async def _consent(self, person: Person, state: State, arrival: Arrival, text: str) -> None:
        self.coach.prepare(state.language)
        answer = read(Kind.YES_NO, text, self.coach.book.languages[state.language])
        said = answer.value if isinstance(answer, Reading) else None
        if said is True:
            self.coach.journal.keep(f"matrix agreed {state.case}", f"{arrival.event_id} {self.clock().isoformat()}")
            return self._hear(person, text, arrival)
        if said is False:
            self.post.notice("matrix.declined", arrival.event_id, name=state.name)
            return await self._tell(person, arrival, "matrix.declined_told")
        return await self._ask_consent(person, state, f"consent-{arrival.event_id}")

    async def _ask_consent(self, person: Person, state: State, txn_id: str) -> None:
        by = self.coach.journal.person(state.clinicians[0]) if state.clinicians else None
        values = {"name": state.name, "who": by.name if by else "–"}
        await self.post.answer(person.address or "", f"{txn_id}-{state.case}", self.post.text("matrix.intro", **values))

    # ---- what the coach says about the channel itself ----------------------------------------------------------

    async def _tell(self, person: Person, arrival: Arrival, key: str) -> None:
        await self.post.answer(person.address or "", f"{key}-{arrival.event_id}", self.post.text(key))

    def _words(self, what: str, state: State) -> tuple[str, ...]:
        return self.coach.book.texts[state.language].choices.get("matrix", {}).get(what, ())

    async def _picture(self, person: Person, state: State, arrival: Arrival) -> None:
        asked = f"picture-{arrival.event_id}"
        self.post.owe(Owed(person.address or "", asked, case=state.case, language=state.language))
