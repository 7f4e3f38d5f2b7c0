"""Who may do what: the one place where a right is looked up; the table itself is data (``rights.yaml``)."""

from coachbot.core.book import Handbook
from coachbot.core.events import RoleName
from coachbot.core.state import State

STANDINGS = ("clinician", "colleague", "owner", "staff", "athlete")
"""What a person can be to a case; a colleague is a clinician who is not on its list."""


def may(role: RoleName, person: str, act: str, state: State | None, book: Handbook) -> bool:
    """Whether this person may do this act, on this case or (None) at the desk; without a row it is nobody's."""
    return standing(role, person, state) in book.rights.get(act, ())


def standing(role: RoleName, person: str, state: State | None) -> str:
    """What the person is to the case."""
    stranger = role == "clinician" and state is not None and person not in state.clinicians
    return "colleague" if stranger else role
