"""What a state remembers of ladders, the run and weights; it copies what a fact says and decides nothing."""

from typing import assert_never

from .events import Event, Loaded, Passed, Proposed, Refused, Stepped, Tallied, Topped, Waived, Went
from .parts import MEMORY, RUN, Move, Rung, State, replace
from .reasons import causes


def progressed(
    state: State,
    event: Passed | Tallied | Proposed | Refused | Stepped | Loaded | Topped | Waived,
) -> State:
    """The state after a ladder, the run or a weight moved, or its counts did."""
    match event:
        case Passed():
            if event.item == RUN:
                state = replace(state, passed_run=state.passed_run | {event.at_level})
            else:
                state = replace(state, passed=state.passed | {event.exercise})
            return because(state, event)
        case Tallied():
            rung = state.rung(event.item)
            assert rung is not None, "only a ladder that was stepped onto is tallied"
            tallied = replace(rung, passes=event.passes, over=event.over, not_before=event.not_before, why=event.reason)
            return because(placed(state, event.item, tallied), event)
        case Proposed() | Refused():
            rung = state.rung(event.item)
            assert rung is not None, "only a ladder that was stepped onto can be raised"
            if isinstance(event, Proposed) and event.weight:
                rung = replace(rung, proposed_load=event.to)
            else:
                proposed = event.to if isinstance(event, Proposed) else None
                rung = replace(rung, proposed=proposed, proposed_load=None, passes=0)
            state = placed(state, event.item, rung)
            return because(state, event) if isinstance(event, Proposed) else state
        case Stepped():
            known = state.rung(event.item)
            state = moved(state, event, event.item, known.level if known else None, event.by)
            rung = known or Rung(event.to)
            stepped = replace(
                rung,
                level=event.to,
                load=rung.load if event.to == rung.level else None,
                extra=rung.extra if event.to == rung.level else 0,
                fewer=event.fewer,
                passes=0,
                proposed=None,
                proposed_load=None,
                since=event.at,
                why=event.reason,
            )
            return because(placed(state, event.item, stepped), event)
        case Loaded():
            rung = state.ladders[event.family]
            rung = replace(rung, load=event.kilograms, extra=event.repetitions, proposed_load=None, why=event.reason)
            return because(placed(state, event.family, rung), event)
        case Topped():
            return replace(state, topped=(*state.topped, event.day))
        case Waived():
            return replace(state, waived=state.waived | {(event.item, event.to)})
        case _:
            assert_never(event)


def placed(state: State, item: str, rung: Rung) -> State:
    """The state with this ladder family, or the run, standing here."""
    if item == RUN:
        return replace(state, run=rung)
    return replace(state, ladders={**state.ladders, item: rung})


def moved(state: State, event: Went | Stepped, item: str, came_from: float | str | None, by: str) -> State:
    """The state with one more move remembered, so that an act can go back to what stood before it."""
    move = Move(event.at, item, came_from, event.to, by, event.reason)
    return replace(state, moves=(*state.moves, move)[-MEMORY:])


def because(state: State, event: Event) -> State:
    """The state with the reasons of a fact added to those that `why` can tell."""
    return replace(state, reasons=(*state.reasons, *causes(event))[-MEMORY:])
