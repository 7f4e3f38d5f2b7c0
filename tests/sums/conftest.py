"""The shipped numbers of the programme, read the plain way: value by address, such as ``trend.window``."""

import pytest
import yaml
from hypothesis import settings

from coachbot.handbook import home

settings.register_profile("sums", deadline=None)  # a busy machine is no broken formula
settings.load_profile("sums")

FILES = ("trend", "running", "running_maths", "measurement", "outlook", "strength")


@pytest.fixture(scope="session")
def number() -> dict[str, float]:
    pages = {name: yaml.safe_load((home() / f"programme/{name}.yaml").read_text()) for name in FILES}
    return {f"{name}.{key}": entry["value"] for name, page in pages.items() for key, entry in page.items()}
