"""What is said of walking on a day of rest never contradicts this morning's walking score."""

import pytest
from play import Play

EASY = "Easy walking is fine"
LITTLE = "walk only as much as you need."


def rest(walking: str, *acts: str) -> str:
    """What is said on a morning without a session of weight."""
    play = Play().approved()
    for line in acts:
        play.act(line)
    return play.on(1).morning(walking)


@pytest.mark.parametrize(("walking", "easy"), [("0", True), ("4", True), ("4.5", False), ("5", False)])
def test_advice_follows_the_limit(walking, easy):
    said = rest(walking)
    assert (EASY in said, LITTLE in said) == (easy, not easy)
    assert easy or f"Walking hurt {walking} of 10 today" in said


@pytest.mark.parametrize(("walking", "easy"), [("0", True), ("0.5", False)])
def test_advice_follows_pain_free_mode(walking, easy):
    said = rest(walking, "pain free")
    assert (EASY in said, LITTLE in said) == (easy, not easy)


def test_cones_stand_apart():
    play = Play().approved(days="every day").on(1)
    for day in range(1, 8):
        play.on(day)
        said = play.morning("0")
        if "Put cones at" in said:
            cones = said.split("Put cones at ")[1].split(" m.")[0]
            assert ", " in cones and all(part.replace(".", "").isdigit() for part in cones.split(", "))
            return
        play.on(day, 18).report()
    raise AssertionError("no run came")
