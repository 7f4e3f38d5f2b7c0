"""A played case that is judged after every step, and the moves of a random walk through one."""

from copy import copy
from dataclasses import dataclass, field
from datetime import timedelta

from hypothesis import strategies as st
from oracle import Oracle
from play import EVERYTHING, Play

from coachbot.core.events import dump, load
from coachbot.core.state import State, fold
from coachbot.core.step import Step, next_wake

MOST_REPORTS = 40


class Broken(AssertionError):
    """A line of what must never happen was broken."""


class Walk(Play):
    """A case whose judge speaks after every step."""

    def __init__(self, **options) -> None:
        super().__init__(**options)
        self.oracle = Oracle(self.book)
        self.oracle.judge(Step((self.events[0],)))

    def _take(self, arrival) -> str:
        said = super()._take(arrival)
        findings = [*self.oracle.judge(self.steps[-1]), *self.oracle.forgets(next_wake(self.state, self.book))]
        if findings:
            raise Broken("\n".join(findings))
        return said

    def fork(self) -> "Walk":
        """The same case, to be played on its own from here."""
        other = copy(self)
        other.events, other.steps, other.oracle = [*self.events], [*self.steps], self.oracle.fork()
        return other

    def refolds(self) -> bool:
        """Whether all facts, stored and read again, lead to the state the case is in."""
        return fold((load(dump(event)) for event in self.events), State(case="sam")) == self.state

    def move(self, move: "Move") -> None:
        """Make one move of a walk."""
        getattr(self, f"_{move.name}")(*move.values)

    # ---- moves ----

    def _next(self, days: int, hour: float) -> None:
        day = (self.now.date() - self.events[0].at.date()).days
        self.on(day + days, hour)

    def _wait(self, minutes: int) -> None:
        until = self.now + timedelta(minutes=minutes)
        while (due := next_wake(self.state, self.book)) is not None and due <= until:
            self.now = max(self.now, due)
            self.tick()
        self.now = until

    def _morning(self, walking: str, sudden: str, response: str) -> None:
        for _ in range(3):
            if self.state.talk.dialog in ("idle", "morning"):
                return void(self.morning(walking, sudden, response))
            self.hear("no")
        return None

    def _report(self, work: str, full: str, pain: str, run: str) -> None:
        said = {"run": run, "work": f"{work}, {full}, pain {pain}", "sudden": "no", "effort": "5, 40 min"}
        if run == "as asked" and self.state.session and self.state.talk.topic == "idle":
            line = self.state.session.lines[:1]
            said["run"] = f"3 reps, {line[0].up_to:g} %, pain {pain}" if line and line[0].kind == "run" else "3"
        self.hear("done")
        for _ in range(MOST_REPORTS):
            if self.state.talk.dialog != "report":
                return
            self.plainly(said[self.state.talk.question])

    def _say(self, text: str) -> None:
        self.hear(text)

    def _edit(self, text: str) -> None:
        self.hear(text, edits="earlier")

    def _act(self, line: str) -> None:
        self.act(line)


def void(_: object) -> None:
    """Drop a value."""


@dataclass(frozen=True)
class Move:
    """One move: its name and what it needs."""

    name: str
    values: tuple = field(default=())


SCORES = ["0", "0", "0", "1", "2", "2 then 5", "4", "4.5", "5", "6", "7", "9", "1 with ibuprofen"]
RUNS = [
    "as asked", "as asked", "3 reps, 100 %, pain 0", "2 reps, 50 %, pain 0", "3 reps, 80 %, pain 2",
    "0 reps, 0 %, pain 0", "3 reps, 60 %, pain 6", "3 reps, 90 %, pain 1", "3, 80, 8",
]  # fmt: skip
WORK = ["all sets", "all sets", "3x8", "3x4", "2 of 3", "none", "8/8/6"]
FULL = ["full range", "full range", "full range", "half range"]
PHRASES = [
    "felt a pop", "i cant feel when i wipe", "my calf is swollen", "chest pain", "i cant walk",
    "pain wakes me at night", "no pop at all", "sharp pain last year", "my friend felt a pop",
    "it hurts to cough below the knee", "weird buzzing thing", "help", "why", "stop", "pain", "correct", "not today",
    "talk to my clinician", "hello", "done", "yes", "no", "4", "4.5", "0", "6", "8", "", "🙂", "12/10", "all full 0",
    "3x6 full 2", "NONE", "can i play on saturday?", "x" * 300, "0 no settled", "2 no", "3 yes", "settled", "worse",
    "\x1b[2J", "left", "i want to sprint now", "my limit is 9",
]  # fmt: skip
ACTS = [
    "ack", "ack", "acknowledge sam-a1", "release seen today", "release seen today", "release", "hold swelling", "hold",
    "open fast good strength", "open early-run seen", "open nothing", "waive run 60 done in clinic",
    "waive run 100 done", "waive slider 2 done in clinic", "waive nordic 3 done", "waive hinge 1 careful",
    "waive run 30 careful", "waive run 55 odd", "limit pain.limit 0 careful", "limit pain.limit 2 careful",
    "limit pain.limit 5 ok", "limit pain.limit 9 no", "limit strength.sessions_per_level 2 careful",
    "limit strength.gap 72 careful", "limit running.fast_gap 72 careful", "limit running.per_week 2 careful",
    "limit morning.rise_counts 0 careful", "limit running.repetitions 4 more", "limit running.fast_above 70 careful",
    "limit course.checkin_hour 6 early", "limit stages.2.leave_days 2 careful", "signed", "automatic", "confirm",
    "confirm", "confirm run", "refuse slider not yet", "families slider bridge", "families nordic hinge",
    "families slider hinge heel-raise squat thrust", "note seen", "sign all seen", "approve", "nonsense",
    "limit nothing 3", "undo", "undo", "pain free", "step up slider strong", "step up run strong",
    "step down run careful", "days mon wed fri", "hand over to dr-two", "review in 3 days", "reviewed fine",
    "message well done", "take over", "pass on", "erase", "limit pain.limit nan x", "limit pain.limit inf x",
    "waive run nan x", "close season over",
]  # fmt: skip
HOURS = [6, 8, 8.5, 9, 13, 18, 23.5]


def _moves(name: str, *values: st.SearchStrategy) -> st.SearchStrategy[Move]:
    return st.tuples(*values).map(lambda chosen: Move(name, chosen))


_some = st.sampled_from
_mornings = _moves("morning", _some(SCORES), _some(["no"] * 9 + ["yes"]), _some(["good"] * 5 + ["sore", "worse"]))
_reports = _moves("report", _some(WORK), _some(FULL), _some(["0", "0", "1", "3", "4", "4.5", "6", "8"]), _some(RUNS))
_days = _moves("next", _some([1] * 12 + [2, 3, 8, 15]), _some(HOURS))
_others = st.one_of(
    _moves("say", _some(PHRASES)), _moves("edit", _some(PHRASES)), _moves("act", _some(ACTS)),
    _moves("wait", _some([5, 20, 61, 300])),
)  # fmt: skip
_rescue = (Move("act", ("release seen today",)), Move("act", ("ack",)))
_good = (Move("morning", ("0", "no", "good")), Move("report", ("all sets", "full range", "0", "as asked")))
_ordinary = st.just((*_rescue, *_good, Move("next", (1, 8))))
_odd = st.tuples(_mornings, _others, _reports, _days)
_wild = st.lists(st.one_of(_mornings, _others, _reports, _days), min_size=1, max_size=4).map(tuple)

DAYS = st.one_of(_ordinary, _ordinary, _ordinary, _ordinary, _odd, _wild)
"""The moves of one day, more or less."""

EQUIPMENT = [EVERYTHING, EVERYTHING, "none", "sliders", "bench, step", "foot anchor, weights", "sliders, weights"]
CASES = st.fixed_dictionaries(
    {
        "equipment": _some(EQUIPMENT),
        "days": _some(["every day", "every day", "mon wed fri", "sat sun", "tue"]),
        "team": _some(["none", "tue thu"]),
        "matches": _some(["none", "sat"]),
        "zone": _some(["Berlin", "Auckland", "Los Angeles", "Kathmandu"]),
        "top_speed": _some(["8.5 m/s", "no"]),
    }
)
OPTIONAL = "approve slider hinge squat heel-raise thrust"
APPROVALS = _some(["approve", "approve signed", OPTIONAL, "approve nordic bridge", ""])


def begin(answers: dict[str, str], approval: str) -> Walk:
    """A case at the end of its intake, approved or not."""
    walk = Walk().intake(**answers)
    if approval:
        walk.act(approval)
    walk.on(2)
    return walk


__all__ = ["APPROVALS", "CASES", "DAYS", "Broken", "Move", "Walk", "begin"]
