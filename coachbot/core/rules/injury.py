"""Which kind of injury a case is, as told at the intake or named by a clinician; it diagnoses nothing."""

from collections.abc import Sequence
from itertools import pairwise

from coachbot.core.state import State

KINDS = {"sprint": "sprint", "stretch": "stretch", "kick": "stretch"}
"""How the injury happened, and the kind it is compared with: a kick overstretches too (Askling 2013)."""

PUBLISHED = ("mri_0", "mri_1", "mri_2", "mri_3", "later_1", "later_2", "tendon_2c", "tendon_3c")
"""Groups with published days that a clinician may name; measured knee extension finds its own."""


def kind_of(state: State) -> str | None:
    """``sprint``, ``stretch`` or None when it is not known: a clinician's word before the athlete's."""
    if state.classified and state.classified.injury:
        return state.classified.injury
    return KINDS.get(str(state.intake.get("mechanism")))


def tendon(state: State) -> bool:
    """Whether a clinician said that a tendon is involved."""
    return state.classified is not None and state.classified.tendon


def careful(state: State) -> bool:
    """Whether every rise waits for a clinician's tick unless they say otherwise: stretch type, or a tendon involved."""
    return tendon(state) or kind_of(state) == "stretch"


def group_of(words: Sequence[str]) -> str:
    """The published group that words such as "mri 2" or "tendon 3c" name; empty when they name none."""
    pairs = (f"{one}_{two}" for one, two in pairwise(words))
    return next((pair for pair in pairs if pair in PUBLISHED), "")
