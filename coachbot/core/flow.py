"""The two tables of the coach as state machines built once from data: dialog topics and the course of a case."""

from collections.abc import Callable, Mapping
from functools import partial

from transitions import EventData, Machine

from .book import Arrow, CourseTable, Dialog

END = "end"
ANSWERED = "answered"
BEGUN = "begun"

GUARDS: frozenset[str] = frozenset(
    {
        "several_languages",
        "side_is_sure",
        "trained_last_time",
        "run_left",
        "work_left",
        "loading_may_start",
        "fast_open",
        "fast_reached",
        "topped_out",
        "matched_yesterday",
    }
)
"""The only names a guard may have; rules/guards.py holds one function for each."""

ANSWERS: frozenset[str] = frozenset(
    {
        "pain",
        "yes_no",
        "choice",
        "equipment",
        "date",
        "text",
        "language",
        "zone",
        "top_speed",
        "pace",
        "run_reps",
        "sets_reps",
        "full_range",
        "effort",
        "duration",
        "match_minutes",
        "again",
    }
)
"""The only kinds of answer a question may want; core/answers.py reads each of them."""

Guard = Callable[[str], bool]


def _check(name: str, event: EventData) -> bool:
    guard: Guard = event.kwargs["guard"]
    return guard(name)


def _machine(initial: str, states: list[str]) -> Machine:
    # The machine is its own model and carries nothing between two calls: `_go` sets the state it starts from.
    return Machine(states=states, initial=initial, auto_transitions=False, send_event=True)


def _arrow(machine: Machine, trigger: str, source: str, dest: str, guards: tuple[str, ...]) -> None:
    machine.add_transition(trigger, source, dest, conditions=[partial(_check, name) for name in guards])


def _go(machine: Machine, state: str, trigger: str, guard: Guard) -> str:
    machine.set_state(state)
    machine.trigger(trigger, guard=guard)
    return str(machine.state)


class Topics:
    """All dialogs as one machine; a topic is ``dialog.question``."""

    def __init__(self, dialogs: Mapping[str, Dialog]) -> None:
        topics = [f"{d.name}.{q}" for d in dialogs.values() for q in d.questions]
        doors = [f"{name}.{door}" for name in dialogs for door in ("start", END)]
        self._machine = _machine(doors[0], topics + doors)
        for dialog in dialogs.values():
            self._arrows(dialog.name, BEGUN, "start", dialog.start)
            for name, question in dialog.questions.items():
                self._arrows(dialog.name, ANSWERED, name, question.then)

    def _arrows(self, dialog: str, trigger: str, source: str, arrows: tuple[Arrow, ...]) -> None:
        for arrow in arrows:
            _arrow(self._machine, trigger, f"{dialog}.{source}", f"{dialog}.{arrow.to}", arrow.when)

    def first(self, dialog: str, guard: Guard) -> str:
        """The topic with which this dialog begins now."""
        return _go(self._machine, f"{dialog}.start", BEGUN, guard)

    def after(self, topic: str, guard: Guard) -> str:
        """The topic that follows an answered one; it ends in ``.end`` when the dialog is over."""
        return _go(self._machine, topic, ANSWERED, guard)


class Course:
    """The course of a case as a machine."""

    def __init__(self, table: CourseTable) -> None:
        self._machine = _machine(table.initial, list(table.states))
        self._known = {(arrow.source, arrow.trigger) for arrow in table.arrows}
        for arrow in table.arrows:
            _arrow(self._machine, arrow.trigger, arrow.source, arrow.dest, arrow.when)

    def after(self, state: str, trigger: str, guard: Guard) -> str:
        """Where the case stands after this trigger; the same state when no arrow applies."""
        return _go(self._machine, state, trigger, guard) if (state, trigger) in self._known else state


def mermaid(dialog: Dialog) -> str:
    """A drawing of the dialog as a Mermaid state diagram."""
    lines = ["stateDiagram-v2"]
    lines += [_edge("[*]", arrow) for arrow in dialog.start]
    for name, question in dialog.questions.items():
        lines += [_edge(name, arrow) for arrow in question.then]
    return "\n".join(lines) + "\n"


def _edge(source: str, arrow: Arrow) -> str:
    target = "[*]" if arrow.to == END else arrow.to
    label = f": {' and '.join(arrow.when)}" if arrow.when else ""
    return f"    {source} --> {target}{label}"
