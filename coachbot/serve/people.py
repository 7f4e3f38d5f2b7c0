"""Who a Matrix id is to the coach: by the id alone, never by a name that people choose; it sends nothing."""

from dataclasses import dataclass, replace
from datetime import datetime

from coachbot.coach import Coach
from coachbot.journal import Person, Role
from coachbot.serve.config import Config


@dataclass(frozen=True)
class People:
    """Clinicians, the owner and staff stand in the settings, athletes in the journal; everybody else is a stranger."""

    coach: Coach
    config: Config

    def seat(self, at: datetime) -> None:
        """Bring the journal in line with the settings: who came is there, who was taken out has no right any more."""
        for person in self.coach.journal.people("owner", "clinician", "staff"):
            if person.address not in self._parts():
                self.coach.journal.add_person(replace(person, role="staff", address=None))
        for address, role in self._parts().items():
            self.coach.journal.add_person(self._seated(address, role))
        for person in self.clinicians():
            self.coach.desks.arrange(person.id, self.config.zone, self.config.digest_hour, at)
        self.coach.desks.roster(at)

    def departed(self) -> dict[str, list[str]]:
        """Who is no clinician by the settings and still stands on lists, with the names of the athletes."""
        found: dict[str, list[str]] = {}
        for case in self.coach.cases():
            state = self.coach.case(case)
            for each in state.clinicians if state.course != "closed" else ():
                known = self.coach.journal.person(each)
                if known is None or known.address not in self.config.clinicians:
                    found.setdefault(known.name if known else each, []).append(state.name)
        return found

    def _parts(self) -> dict[str, Role]:
        parts: dict[str, Role] = dict.fromkeys(self.config.clinicians, "clinician")
        parts.update(dict.fromkeys(self.config.staff, "staff"))
        return {**parts, self.config.owner: "owner"} if self.config.owner else parts

    def _seated(self, address: str, role: Role) -> Person:
        known = self.coach.journal.person_at(address)
        if known and known.role != "athlete":
            return replace(known, role=role)
        if known:  # an athlete who works here now keeps the case, but speaks as what the settings say
            self.coach.journal.add_person(replace(known, address=None))
        short = address[1:].split(":", 1)[0]
        taken = self.coach.journal.person(short)
        free = taken is None or (taken.role != "athlete" and taken.address is None)
        return Person(short if free else address, short, role, address=address)

    def who(self, address: str) -> Person | None:
        """The person behind a Matrix id; None for a stranger."""
        person = self.coach.journal.person_at(address)
        if person is None:
            return None
        return person if person.role == "athlete" or address in self._parts() else None

    def clinicians(self) -> list[Person]:
        """In the order in which alerts go out."""
        found = (self.coach.journal.person_at(address) for address in self.config.clinicians)
        return [person for person in found if person]

    def addressee(self, id: str) -> Person | None:
        """Who gets what is for this person: a clinician who was taken out is replaced by the first on the list."""
        person = self.coach.journal.person(id)
        if person and (person.role == "athlete" or person.address):
            return person
        clinicians = self.clinicians()
        return clinicians[0] if person and clinicians else None

    def athletes(self) -> list[Person]:
        """Everybody with a case and a place to be reached."""
        return [person for person in self.coach.journal.people("athlete") if person.address]

    def sharing(self) -> frozenset[str]:
        """The athletes who let the team see whether they can train."""
        return frozenset(p.address for p in self.athletes() if p.address and p.case and self.coach.case(p.case).shares)
