"""What a state remembers of measurements; it copies what a fact says and decides nothing."""

from dataclasses import replace
from typing import assert_never

from .findings import Classified, CriterionWaived, Equipped, Finding, Measured, Played, SpeedMeasured
from .parts import MEMORY, State


def remembered(state: State, event: Finding) -> State:
    """The state after one more measurement."""
    match event:
        case Measured():
            return replace(state, measured=(*state.measured, event)[-MEMORY:])
        case SpeedMeasured():
            return replace(state, top_speed=event)
        case Classified():
            return replace(state, classified=event)
        case CriterionWaived():
            return replace(state, criteria_waived={**state.criteria_waived, event.gate: event})
        case Equipped():
            return replace(state, kilograms=event.kilograms)
        case Played():
            return replace(state, played=(*state.played, event)[-MEMORY:])
        case _:
            assert_never(event)
