"""What is wrong with the table of rights: people who do not exist there, acts without a row; it judges no right."""

from collections.abc import Iterator

from coachbot.core.desk.acts import ACTS
from coachbot.core.desk.rights import STANDINGS
from coachbot.handbook.draft import Draft
from coachbot.handbook.yamlfile import Finding

FILE = "programme/rights.yaml"


def findings(draft: Draft) -> Iterator[Finding]:
    """What is wrong in ``rights.yaml``."""
    page = draft.pages.get(FILE)
    if page is None:
        return
    for act, people in draft.rights.items():
        for person in people:
            if person not in STANDINGS:
                says = f"{person} is nobody here. Use one of {', '.join(STANDINGS)}."
                yield page.finding((act,), says)
    for act in ACTS:
        if act not in draft.rights:
            yield page.finding((), f"{act} has no row, so nobody may do it. Add one.")
