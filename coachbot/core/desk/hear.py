"""One line of a person at the desk: whose case, which act, may they; what changes a case is handed on.

The front door of the desk. It stores nothing; weighty acts come back as an intention and wait for a "yes".
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from coachbot.core.book import Handbook
from coachbot.core.days import local_day
from coachbot.core.effects import Word
from coachbot.core.events import Acted, Arranged, Event, Focused, Intended, LanguageChosen, RoleName
from coachbot.core.rules import place
from coachbot.core.state import State
from coachbot.core.step import step
from coachbot.core.talk import tongue
from coachbot.core.turn import Turn

from . import alerts, board, digest, figures, hours, outlook, views, whatif, why
from .acts import ACTS, FITS
from .address import MARK, address, around, plain
from .desk import Desk
from .grammar import Order, Rest, read, words
from .rights import may
from .stranger import Vocabulary, joined, namesake, stranger
from .when import past

ERASE = "erase"


@dataclass(frozen=True)
class Who:
    """The person at the desk."""

    id: str
    role: RoleName


@dataclass(frozen=True)
class House:
    """What the desk may look at: the cases, the clinicians, and the facts of a case when asked for."""

    cases: Mapping[str, State]
    clinicians: tuple[str, ...]
    history: Callable[[str], Sequence[Event]]


@dataclass(frozen=True)
class Outcome:
    """What follows: facts of the desk, what arrives in cases, words or rows to show, and who comes or goes."""

    shown: tuple[Word, ...] = ()
    facts: tuple[Event, ...] = ()
    arrivals: tuple[tuple[str, Acted | Intended], ...] = ()
    enrol: str = ""
    people: tuple[tuple[str, RoleName], ...] = ()
    erase: str = ""
    rows: tuple[views.Row, ...] = ()

    @property
    def changes(self) -> bool:
        """Whether anything is stored."""
        return bool(self.facts or self.arrivals or self.enrol or self.people or self.erase)


@dataclass(frozen=True)
class _Asked:
    """One line with all that is needed to answer it."""

    line: str
    who: Who
    desk: Desk
    house: House
    book: Handbook
    at: datetime

    def may(self, act: str, case: str | None = None) -> bool:
        state = None if case is None else self.house.cases[case]
        return may(self.who.role, self.who.id, act, state, self.book)

    def mine(self, act: str) -> list[State]:
        """The cases on which this person may do the act, by name."""
        return sorted((s for c, s in self.house.cases.items() if self.may(act, c)), key=lambda s: s.name.lower())


def hear(line: str, who: Who, desk: Desk, house: House, book: Handbook, at: datetime) -> Outcome:
    """What follows from one line at the desk. Pure: the same input gives the same outcome."""
    asked = _Asked(line, who, desk, house, book, at)
    settled = _settle(asked) if desk.waits else None
    outcome = settled or _obey(asked)
    if desk.waits and not any(isinstance(fact, Focused) for fact in outcome.facts):
        outcome = replace(outcome, facts=(*outcome.facts, Focused(at=at, case=desk.case, waits=False)))
    return outcome


def _settle(asked: _Asked) -> Outcome | None:
    """A "yes" or "no" to the act that waits; anything else lets it go."""
    case, rest = asked.desk.case, Rest.of(asked.line, words(asked.book, asked.desk.language))
    state = asked.house.cases.get(case)
    intended = state.intended.get(asked.who.id) if state else None
    if intended is None:
        return None
    if rest.pieces and not rest.past(rest.words["no"]).pieces:
        return Outcome((Word("desk.left", {"name": state.name if state else case}),))
    if not rest.pieces or rest.past(rest.words["yes"]).pieces:
        return None
    if read(intended.line, asked.book, FITS).act == ERASE:
        return Outcome((Word("desk.erased"),), erase=case)
    return Outcome(arrivals=((case, _acted(asked, intended.line)),))


def _acted(asked: _Asked, line: str, case: str = "") -> Acted:
    lower = line.lower().replace(",", " ").split()
    named = next((each for each in asked.house.clinicians if each.lower() in lower), "")
    cases = (state for each, state in asked.house.cases.items() if each != case)
    rest = outlook.others(cases, asked.at) if outlook.wanted(line, asked.book) else ()
    return Acted(at=asked.at, by=asked.who.id, line=line, role=asked.who.role, colleague=named, others=rest)


def _obey(asked: _Asked) -> Outcome:
    order = read(asked.line, asked.book, FITS)
    if not order.rest.pieces and order.act is None:
        return _first(asked, order)
    if order.act in ROOM:
        return ROOM[order.act](asked, order) if asked.may(order.act) else _no_right()
    names = _names(asked)
    found, line = address(asked.line, names)
    order = read(line, asked.book, FITS)
    strange = _strange(asked, order, names, found) if order.act and len(found) <= 1 else ""
    if strange:
        return Outcome((Word("desk.stranger", {"word": strange, "names": _mine(asked, order.act)}),))
    found = found or _only(asked, order)
    if len(found) > 1:
        return Outcome((Word("desk.which", {"names": tuple(MARK + case for case in found)}),))
    if not found:
        return _nobody(asked, order)
    return _about(asked, found[0], line, order)


def _strange(asked: _Asked, order: Order, names: Mapping[str, str], found: Sequence[str]) -> str:
    """A word that stands where a name would, before or within that of an athlete, and is none; "" for none."""
    before, after = around(asked.line, names)
    alerts_ = (alert for state in asked.house.cases.values() for alert in state.alerts)
    known = (*asked.house.clinicians, *alerts_)
    own = Vocabulary.of(asked.book, order.language, known)
    first = read(before, asked.book, FITS)
    strange = (stranger(first.rest, own) if first.act else "") or joined(after, own)
    if strange or not found:
        return strange
    said = asked.line.split()
    named = " ".join(said[len(before.split()) : len(said) - len(after.split())])
    return namesake(named, after, names[found[0]], own)


def _mine(asked: _Asked, act: str | None) -> object:
    """The names of the athletes on whom this person may do the act, or whose case they may read."""
    return tuple(state.name for state in asked.mine(act or "show")) or "–"


def _names(asked: _Asked) -> dict[str, str]:
    """The athletes by case; a closed case does not answer to its name once a new one has it."""
    cases = asked.house.cases.items()
    running = {state.name for _, state in cases if state.course != "closed"}
    return {case: state.name for case, state in cases if state.course != "closed" or state.name not in running}


def _only(asked: _Asked, order: Order) -> list[str]:
    """Whose case an act without a name is about, where only one can be meant."""
    if order.act == "undo" and asked.desk.case in asked.house.cases:
        return [asked.desk.case]
    said = [plain(word) for word in asked.line.split()]
    named = [case for case, state in asked.house.cases.items() if any(each.lower() in said for each in state.alerts)]
    if named:
        return named
    if not order.exact:
        return []
    mine = [case for case, state in asked.house.cases.items() if order.act and asked.may(order.act, case)]
    if order.act in ("acknowledge", "take", "pass"):
        mine = [case for case in mine if alerts.waiting(asked.house.cases[case])]
    return mine if len(mine) == 1 else []


def _nobody(asked: _Asked, order: Order) -> Outcome:
    if order.act is None and not order.may_mean:
        return Outcome((Word("desk.unknown_line", {"line": asked.line}),))
    return Outcome((Word("desk.who", {"names": _mine(asked, order.act)}),))


def _about(asked: _Asked, case: str, line: str, order: Order) -> Outcome:
    """A line about one case: something to read, or something that changes it."""
    state = asked.house.cases[case]
    act = order.act or ("" if order.rest.pieces else "show")
    if not act:
        return _unclear(asked, state, order)
    if act in READS:
        if not asked.may(act, case):
            return _no_right()
        return READS[act](asked, state, order)
    if act == ERASE:
        return _intend(asked, case, line) if asked.may(act, case) else _no_right()
    acted = _acted(asked, line, case)
    changes = len(step(state, acted, asked.book).facts) > 1
    if ACTS[act].weighty and changes:
        return _intend(asked, case, line)
    return Outcome(arrivals=((case, acted),), facts=_turned(asked, case))


def _turned(asked: _Asked, case: str) -> tuple[Event, ...]:
    same = asked.desk.case == case and not asked.desk.waits
    return () if same else (Focused(at=asked.at, case=case, waits=False),)


def _intend(asked: _Asked, case: str, line: str) -> Outcome:
    intended = Intended(at=asked.at, by=asked.who.id, line=line, role=asked.who.role)
    return Outcome(arrivals=((case, intended),), facts=(Focused(at=asked.at, case=case, waits=True),))


def _unclear(asked: _Asked, state: State, order: Order) -> Outcome:
    """Nothing is done with a line that is not understood, or that may mean several acts."""
    values = {"line": asked.line, "name": state.name}
    if not order.may_mean:
        return Outcome((Word("desk.unknown", values),))
    spoken = asked.book.texts[order.language].acts["acts"]
    meant = tuple(f"{_own(spoken, act, order.may_mean)} {state.name}" for act in order.may_mean)
    return Outcome((Word("desk.may_mean", {**values, "acts": meant}),))


def _own(spoken: Mapping[str, Sequence[str]], act: str, others: Sequence[str]) -> str:
    """A phrase of this act that none of the others shares."""
    shared = {phrase for other in others if other != act for phrase in spoken[other]}
    return next(phrase for phrase in spoken[act] if phrase not in shared)


def _no_right() -> Outcome:
    return Outcome((Word("desk.no_right"),))


# ---- what is read ------------------------------------------------------------------------------------------------


def _show(asked: _Asked, state: State, order: Order) -> Outcome:
    turn = Turn(state, asked.book, asked.at)
    return Outcome(rows=(*views.case(turn), views.Row(Word("case.trend"), figures.remarks(turn))))


def _why(asked: _Asked, state: State, order: Order) -> Outcome:
    today = local_day(asked.at, state.zone)
    day, _ = past(order.rest, today, asked.book.texts[order.language])
    return Outcome(why.day(asked.house.history(state.case), day or today, state, asked.book))


def _what_if(asked: _Asked, state: State, order: Order) -> Outcome:
    return Outcome(whatif.told(state, order, asked.book, asked.at))


READS: dict[str, Callable[[_Asked, State, Order], Outcome]] = {
    "show": _show,
    "why": _why,
    "what-if": _what_if,
}
"""What looks at one case and changes nothing."""


# ---- what concerns the desk and no single case -------------------------------------------------------------------


def _first(asked: _Asked, order: Order) -> Outcome:
    """What a desk shows when it is opened: the first of these that its person may see."""
    act = next((each for each in ("caseload", "board") if asked.may(each)), None)
    return ROOM[act](asked, order) if act else _no_right()


def _caseload(asked: _Asked, order: Order) -> Outcome:
    """The cases; the owner reads only who has which."""
    treats = asked.who.role == "clinician"
    return Outcome((views.caseload if treats else views.owned)(asked.mine("caseload")))


def _digest(asked: _Asked, order: Order) -> Outcome:
    return Outcome(digest.digest(asked.mine("digest"), asked.at, asked.desk.zone, asked.book))


def _board(asked: _Asked, order: Order) -> Outcome:
    return Outcome(board.board(asked.house.cases.values(), asked.book))


def _help(asked: _Asked, order: Order) -> Outcome:
    match asked.who.role:
        case "owner":
            return Outcome((Word("desk.help_owner"),))
        case "staff":
            return Outcome((Word("desk.help_staff"),))
        case _:
            return Outcome((Word("desk.help"),))


def _enrol(asked: _Asked, order: Order) -> Outcome:
    name = order.rest.note
    return Outcome(enrol=name) if name else Outcome((Word("desk.enrol_how"),))


def _join(asked: _Asked, order: Order) -> Outcome:
    """A new clinician, or somebody of the team who sees the board."""
    person = order.rest.note.lower()
    if not person or len(person.split()) > 1:
        return Outcome((Word("desk.join_how"),))
    role: RoleName = "clinician" if order.act == "add-clinician" else "staff"
    return Outcome((Word("desk.joined", {"person": person}),), people=((person, role),))


def _hours(asked: _Asked, order: Order) -> Outcome:
    """The clinician's hours go into the stream of each of their cases, where alerts are decided."""
    duty = hours.duty(order.rest, asked.who.id, asked.desk.zone, asked.at, asked.book, order.language)
    if duty is None:
        return Outcome((Word("desk.hours_how"),))
    mine = [case for case in asked.house.cases if asked.may("hours", case)]
    shown = Word("desk.hours", hours.values(duty))
    return Outcome((shown,), (duty,), tuple((case, _acted(asked, hours.line(duty))) for case in mine))


def _zone(asked: _Asked, order: Order) -> Outcome:
    zone = place.zone(order.rest.note, asked.book)
    if zone is None:
        return Outcome((Word("desk.zone_how"),))
    moved = hours.moved(asked.desk.duty, zone, asked.at)
    mine = [case for case in asked.house.cases if moved and asked.may("hours", case)]
    arrivals = tuple((case, _acted(asked, hours.line(moved))) for case in mine if moved)
    facts: tuple[Event, ...] = (_arranged(asked, zone=zone), *((moved,) if moved else ()))
    return Outcome((Word("desk.zone", {"zone": zone}),), facts, arrivals)


def _language(asked: _Asked, order: Order) -> Outcome:
    """The desk is read in another of the languages that lack nothing; athletes' words stay as they wrote them."""
    book, code = asked.book, tongue.picked(order.rest.note, asked.book)
    if len(book.offered) <= 1:
        return Outcome((Word("desk.language_only", {"language": tongue.name(asked.desk.language, book)}),))
    if code is None:
        return Outcome((Word("desk.language_how", {"languages": tuple(tongue.name(c, book) for c in book.offered)}),))
    chosen = LanguageChosen(at=asked.at, language=code)
    return Outcome((Word("desk.language", {"language": tongue.name(code, book)}),), (chosen,))


def _digest_at(asked: _Asked, order: Order) -> Outcome:
    hour = hours.hour(order.rest)
    if hour is None:
        return Outcome((Word("desk.hour_how"),))
    values = {"hour": hours.clock(hour), "zone": asked.desk.zone}
    return Outcome((Word("desk.digest_at", values),), (_arranged(asked, digest_hour=hour),))


def _board_at(asked: _Asked, order: Order) -> Outcome:
    hour = hours.hour(order.rest)
    if hour is None:
        return Outcome((Word("desk.hour_how"),))
    values = {"hour": hours.clock(hour), "zone": asked.desk.zone}
    return Outcome((Word("desk.board_at", values),), (_arranged(asked, board_hour=hour),))


def _arranged(
    asked: _Asked, *, zone: str = "", digest_hour: float | None = None, board_hour: float | None = None
) -> Arranged:
    desk = asked.desk
    return Arranged(
        at=asked.at,
        zone=zone or desk.zone,
        digest_hour=desk.digest_hour if digest_hour is None else digest_hour,
        board_hour=desk.board_hour if board_hour is None else board_hour,
    )


ROOM: dict[str, Callable[[_Asked, Order], Outcome]] = {
    "caseload": _caseload,
    "digest": _digest,
    "board": _board,
    "help": _help,
    "enrol": _enrol,
    "add-clinician": _join,
    "add-staff": _join,
    "hours": _hours,
    "zone": _zone,
    "language": _language,
    "digest-at": _digest_at,
    "board-at": _board_at,
}
"""What concerns the desk, and no single case."""
