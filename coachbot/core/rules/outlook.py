"""How long similar athletes took, as ranges for clinicians; nothing before the examination about day 7, no date."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachbot.core.days import days_between, local_day
from coachbot.core.state import State
from coachbot.core.sums.classify import bands_open
from coachbot.core.sums.outlook import Outlook, combined, lognormal, of_ten
from coachbot.core.sums.survival import Curve, kaplan_meier
from coachbot.core.turn import Turn

from .injury import kind_of, tendon
from .readiness import latest
from .safety import day_of_injury

STRETCH = "stretch"
SPRINT_GROUPS = ("mri", "later", "deficit")
"""Published groups of sprint-type injuries; a stretch-type injury is never compared with them."""
EDGES = ("deficit_edge_1", "deficit_edge_2", "deficit_edge_3")


@dataclass(frozen=True)
class Own:
    """One of the clinic's other cases: its kind, days from the injury, and whether the athlete was back by then."""

    kind: str
    days: float
    back: bool


def own(state: State, today: date) -> Own | None:
    """A case as the outlook of another sees it; None before it has a kind and a day of injury."""
    injured, kind = state.intake.get("injured_on"), compared_with(state)
    if not isinstance(injured, str) or kind is None or state.approved_by is None:
        return None
    back = local_day(state.cleared_at, state.zone) if state.cleared_at else None
    days = days_between(date.fromisoformat(injured), back or today)
    return Own(kind, float(days), back is not None) if days > 0 else None


def compared_with(state: State) -> str | None:
    """What a case is compared with: a tendon involved is a kind of its own."""
    return "tendon" if tendon(state) else kind_of(state)


@dataclass(frozen=True)
class View:
    """What may be said: ranges of published groups by name, those with own cases, and the curve of own cases."""

    published: tuple[tuple[str, Outlook], ...]
    combined: Outlook | None
    curve: Curve | None
    own: int


def examined(turn: Turn) -> bool:
    """Whether a clinician examined the athlete on the day from which an outlook means something, or later."""
    injured = turn.state.intake.get("injured_on")
    if not isinstance(injured, str):
        return False
    start, least = date.fromisoformat(injured), turn.number("outlook.not_before_day")
    days = [m.day for m in turn.state.measured]
    if turn.state.reviewed_at:
        days.append(local_day(turn.state.reviewed_at, turn.state.zone))
    return any(days_between(start, day) >= least for day in days)


def view(turn: Turn, others: Sequence[Own]) -> View | None:
    """The outlook of this case; None before the examination."""
    if not examined(turn):
        return None
    day, athletes = float(day_of_injury(turn) or 0), int(turn.number("outlook.of_ten"))
    kind = compared_with(turn.state)
    cases = [each for each in others if each.kind == kind]
    back = [each.days for each in cases if each.back]
    enough = len(back) >= turn.number("outlook.own_least")
    spreads = {name: lognormal(*_published(turn, name)) for name in groups(turn)}
    worth = int(turn.number("outlook.published_worth"))
    both = [combined(spread, worth, back) for spread in spreads.values()] if enough and len(spreads) == 1 else []
    return View(
        tuple((name, of_ten(spread, athletes, day)) for name, spread in spreads.items()),
        of_ten(both[0], athletes, day) if both else None,
        kaplan_meier([(each.days, each.back) for each in cases]) if enough else None,
        len(cases),
    )


def groups(turn: Turn) -> tuple[str, ...]:
    """The published groups this case may be compared with: the one a clinician named, else by measured deficit."""
    classified = turn.state.classified
    named = classified.group if classified else ""
    found = (named,) if named else _by_deficit(turn)
    sprint = compared_with(turn.state) == "sprint"
    return tuple(name for name in found if sprint or name.split("_")[0] not in SPRINT_GROUPS)


def _by_deficit(turn: Turn) -> tuple[str, ...]:
    """The bands that the deficit of active knee extension may lie in, its error counted."""
    injured, sound = latest(turn, "knee-extension", "injured"), latest(turn, "knee-extension", "sound")
    start = turn.state.intake.get("injured_on")
    if injured is None or sound is None or injured.value > sound.value or not isinstance(start, str):
        return ()
    if days_between(date.fromisoformat(start), injured.day) > turn.number("outlook.deficit_until"):
        return ()
    edges = [turn.number(f"outlook.{edge}") for edge in EDGES]
    noise = turn.number("measurement.knee_extension_same_tester")
    return tuple(f"deficit_{band}" for band in bands_open(sound.value - injured.value, edges, noise))


def stretch_means(turn: Turn) -> tuple[float, float]:
    """Mean days of stretch-type injuries with lengthening and with usual exercises; no spread was printed."""
    return turn.number("outlook.stretch_mean"), turn.number("outlook.stretch_conventional_mean")


def _published(turn: Turn, name: str) -> tuple[float, float]:
    return turn.number(f"outlook.{name}_mean"), turn.number(f"outlook.{name}_sd")
