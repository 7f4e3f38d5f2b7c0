"""The names by which a person may call their time zone; it chooses none."""

from functools import lru_cache
from zoneinfo import available_timezones


@lru_cache
def names() -> dict[str, str]:
    """Time zones by their full name and by their city, in lower case ("europe/berlin", "berlin")."""
    zones = sorted(available_timezones())
    cities = {zone.rsplit("/", 1)[-1].lower().replace("_", " "): zone for zone in reversed(zones) if "/" in zone}
    return {**cities, **{zone.lower(): zone for zone in zones}}
