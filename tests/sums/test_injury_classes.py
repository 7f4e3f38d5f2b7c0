"""Classes and bands as a clinician types them: what is read, what is asked back, what is refused."""

import pytest
from hypothesis import given, strategies as st

from coachbot.core.sums.classify import bamic, band, bands_open
from coachbot.core.sums.refusal import Refused

POLLOCK = ("0a", "0b", "1a", "1b", "2a", "2b", "2c", "3a", "3b", "3c", "4", "4c")


@pytest.fixture
def edges(number: dict[str, float]) -> tuple[float, ...]:
    return tuple(number[f"outlook.deficit_edge_{n}"] for n in (1, 2, 3))


@pytest.mark.parametrize("code", POLLOCK)
def test_usual_class_is_accepted(code: str) -> None:
    """Pollock et al. 2014, BJSM 48:1347; list from memory."""
    for typed in (code, code.upper(), f" {code[0]} {code[1:]} "):
        assert (bamic(typed).code, bamic(typed).confirm) == (code, False)


@pytest.mark.parametrize("code", ["1c", "4a", "4b"])
def test_unusual_class_is_asked_back(code: str) -> None:
    """The abstract allows a, b and c for grades 1 to 4."""
    assert bamic(code).confirm


@pytest.mark.parametrize("typed", ["5a", "2d", "0c", "2", "", "a2", "2cc", "2c?", "grade 2"])
def test_no_such_class_is_refused(typed: str) -> None:
    with pytest.raises(Refused, match=r"classify\.unknown"):
        bamic(typed)


@given(st.sampled_from([*POLLOCK, "1c"]))
def test_letter_c_means_tendon(code: str) -> None:
    assert bamic(code).tendon is code.endswith("c")


@given(st.floats(0, 90), st.floats(0, 20))
def test_true_band_stays_open(deficit: float, error: float) -> None:
    """A deficit measured within the error of the test never shuts out the band it really lies in."""
    edges = (10, 20, 30)
    for measured in (max(0.0, deficit - error), deficit, deficit + error):
        assert band(deficit, edges) in bands_open(measured, edges, error + 1e-9)


def test_two_testers_leave_neighbours_open(edges: tuple[float, ...], number: dict[str, float]) -> None:
    """15 degrees measured, 15 degrees of error (Reurink et al. 2013): bands 1 to 4 are all open."""
    assert bands_open(15, edges, number["measurement.knee_extension_two_testers"]) == (1, 2, 3, 4)
    assert bands_open(15, edges, number["measurement.knee_extension_same_tester"]) == (1, 2, 3)
    assert bands_open(15, edges, 2) == (2,)


def test_negative_deficit_is_refused() -> None:
    with pytest.raises(Refused, match=r"classify\.deficit"):
        band(-1, (10, 20, 30))
