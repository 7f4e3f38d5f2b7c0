"""The time zone that a place names: a zone, its city, or another city that shares its clock; it guesses none."""

from collections.abc import Iterator, Mapping
from functools import lru_cache

from coachbot.core.book import Handbook
from coachbot.core.reading.spelling import one_edit

SURE = 5
"""Letters from which on a slip of the keyboard is forgiven: shorter names lie too near to each other."""
LONGEST = 4
"""Words of the longest name."""
AREAS = ("africa", "america", "antarctica", "asia", "atlantic", "australia", "europe", "indian", "pacific")
"""Where a zone is named after a city; "us/eastern" and the like are no places."""


def zone(text: str, book: Handbook) -> str | None:
    """The one zone of the place named: by the whole text, by what stands before a comma, or within a sentence."""
    whole = " ".join(text.lower().split()).strip(" .!?")
    named, known = (whole, whole.replace(".", ""), whole.split(",")[0].strip()), _cities(book)
    exact = (book.zones.get(whole.replace(" ", "_")), *(known.get(name) for name in named))
    for found in (exact, _within(whole, known), (_near(name, known) for name in named)):
        zones = {zone for zone in found if zone}
        if zones:
            return zones.pop() if len(zones) == 1 else None
    return None


@lru_cache(maxsize=4)
def _cities(book: Handbook) -> Mapping[str, str]:
    """Every city by its name in lower case."""
    own = {name: zone for name, zone in book.zones.items() if "/" not in name and _area(zone) in AREAS}
    told = {name: zone for texts in book.texts.values() for name, zone in texts.cities.items()}
    return {**own, **told}


def _area(zone: str) -> str:
    return zone.lower().split("/")[0]


def _within(text: str, known: Mapping[str, str]) -> Iterator[str]:
    """The zones of all cities in a sentence; the longest name at each place counts."""
    words, at = text.replace(",", " ").replace(".", " ").split(), 0
    while at < len(words):
        names = {n: " ".join(words[at : at + n]) for n in range(LONGEST, 0, -1)}
        length = next((n for n, name in names.items() if name in known), 0)
        if length:
            yield known[names[length]]
        at += length or 1


def _near(name: str, known: Mapping[str, str]) -> str | None:
    """The zone of the only city that a name becomes with one letter changed, added, lost or swapped."""
    close = {zone for city, zone in known.items() if len(city) >= SURE <= len(name) and one_edit(name, city)}
    return close.pop() if len(close) == 1 else None
