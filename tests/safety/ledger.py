"""The judge's own books: what the facts of a case add up to, kept without any rule of the coach."""

from copy import copy
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from statistics import median
from zoneinfo import ZoneInfo

from coachbot.core import events as e
from coachbot.core.book import Handbook, Sourced, Stage

RUN = "run"


@dataclass
class Issue:
    """One issued session and what was told of it."""

    number: int
    day: date
    at: datetime
    lines: tuple[e.Line, ...]
    results: dict[int, e.Trained] = field(default_factory=dict)
    done: bool = False
    sudden: bool = False
    refused: bool = False
    """The athlete said that it was not done."""


@dataclass(frozen=True)
class Hurt:
    """Pain over the limit in the last report of an item: at which level, and when."""

    level: float
    at: datetime


class Ledger:
    """Everything the judge knows; `add` takes one fact after the other."""

    def __init__(self, book: Handbook) -> None:
        self.book = book
        self.clinicians: tuple[str, ...] = ()
        self.zone = "UTC"
        self.held = self.approved = self.closed = self.cleared = self.signed = False
        self.signed_at = datetime.min.replace(tzinfo=UTC)
        self.limits: dict[str, float] = {}
        self.opened: dict[str, datetime] = {}
        self.waived: dict[str, list[tuple[datetime, float]]] = {}
        self.confirmed: dict[str, list[tuple[datetime, float]]] = {}
        self.injured: date | None = None
        self.mornings: dict[date, e.MorningTaken] = {}
        self.sessions: dict[int, Issue] = {}
        self.earned: dict[int, list[tuple[str, float, str]]] = {}
        self.passes: dict[int, set[str | float]] = {}
        self.hurt: dict[str, Hurt] = {}
        self.alerts: dict[str, e.Alerted] = {}
        self.taken: set[str] = set()
        self.told: set[str] = set()
        self.intake = True

    def fork(self) -> "Ledger":
        """The same books, to be kept on their own from here."""
        other = copy(self)
        for name, value in vars(self).items():
            if isinstance(value, dict):
                setattr(other, name, {key: copy(each) for key, each in value.items()})
            elif isinstance(value, set):
                setattr(other, name, {*value})
        for issue in other.sessions.values():
            issue.results = {**issue.results}
        return other

    # ---- numbers ----

    def value(self, number: Sourced) -> float:
        """A number as it stands for this athlete."""
        return self.limits.get(number.key, number.value)

    def limit(self) -> float:
        """The pain limit."""
        return self.value(self.book.programme.pain.limit)

    def day(self, at: datetime) -> date:
        """The athlete's local day."""
        return at.astimezone(ZoneInfo(self.zone)).date()

    def speeds(self, stage: Stage) -> list[float]:
        """The speeds of one stage."""
        first, last, step = (self.value(n) for n in (stage.first, stage.last, stage.step))
        return [*(first + n * step for n in range(round((last - first) / step))), last]

    def all_speeds(self) -> list[float]:
        """The speeds of all stages."""
        return [speed for stage in self.book.stages for speed in self.speeds(stage)]

    def stage(self, speed: float) -> Stage:
        """The stage of a speed."""
        return next(stage for stage in self.book.stages if speed <= self.value(stage.last))

    def run_limit(self, speed: float) -> float:
        """Pain above this ends a run: the limit, and less in fast running."""
        fast = self.value(self.book.programme.pain.fast_stop)
        return min(self.limit(), fast) if speed > self.value(self.book.programme.running.fast_above) else self.limit()

    @property
    def open_alerts(self) -> list[e.Alerted]:
        """The last sending of every alert nobody has taken."""
        return [alert for name, alert in self.alerts.items() if name not in self.taken]

    @property
    def last(self) -> Issue | None:
        """The session issued last."""
        return self.sessions[max(self.sessions)] if self.sessions else None

    # ---- facts ----

    def add(self, fact: e.Event) -> None:
        """Enter one fact."""
        match fact:
            case e.Enrolled():
                self.clinicians, self.zone = fact.clinicians, fact.zone
            case e.HandedOver():
                self.clinicians = fact.clinicians
            case e.Approved():
                self.approved, self.signed, self.signed_at = True, fact.signed, fact.at
            case e.Chose():
                if fact.signed is not None:
                    self.signed, self.signed_at = fact.signed, fact.at
            case e.Held() | e.Released():
                self.held = isinstance(fact, e.Held)
            case e.Closed() | e.Cleared():
                self.closed, self.cleared = self.closed or isinstance(fact, e.Closed), True
            case e.Limited():
                self.limits[fact.number] = fact.value
            case e.Opened():
                self.opened[fact.what] = fact.at
            case e.Waived():
                self.waived.setdefault(fact.item, []).append((fact.at, fact.to))
                self.hurt.pop(fact.item, None)
            case e.Stepped() if fact.by != "coach":
                self.confirmed.setdefault(fact.item, []).append((fact.at, fact.to))
            case e.Alerted():
                self.alerts[fact.alert] = fact
            case e.AthleteTold():
                self.told.add(fact.alert)
            case e.Acknowledged():
                self.taken.add(fact.alert)
            case e.IntakeDone():
                self.intake = False
            case e.Answered():
                self._answered(fact)
            case e.MorningTaken():
                self.mornings[fact.day] = fact
                if not fact.partial:  # nothing is earned by a check-in that was broken off
                    self._count(fact)
            case e.Prescribed():
                self.sessions[fact.number] = Issue(fact.number, fact.day, fact.at, fact.lines)
            case e.Trained() | e.SessionDone() | e.SessionSkipped():
                self._reported(fact)

    def _answered(self, fact: e.Answered) -> None:
        if fact.slot == "zone":
            self.zone = str(fact.value)
        if fact.slot == "injured_on":
            self.injured = date.fromisoformat(str(fact.value))
        if fact.slot in ("run_pain", "work_pain") and not fact.corrects and self.last:
            left = [n for n, line in enumerate(self.last.lines) if line.reported and n not in self.last.results]
            if left:
                self._hurts(self.last.lines[left[0]], float(str(fact.value)), fact.at)

    def _reported(self, fact: e.Trained | e.SessionDone | e.SessionSkipped) -> None:
        issue = self.sessions[fact.session]
        match fact:
            case e.Trained():
                issue.results[fact.line] = fact
                if fact.done and fact.pain is not None:
                    self._hurts(issue.lines[fact.line], fact.pain, fact.at)
            case e.SessionDone():
                issue.done, issue.sudden = True, fact.sudden
            case e.SessionSkipped():
                issue.refused = fact.said

    def _hurts(self, line: e.Line, pain: float, at: datetime) -> None:
        item, level, limit = self.place(line)
        if pain > limit:
            self.hurt[item] = Hurt(level, at)
        else:
            self.hurt.pop(item, None)

    def place(self, line: e.Line) -> tuple[str, float, float]:
        """The item a line trains, its level or speed, and the pain that is too much in it."""
        if isinstance(line, e.Run):
            return RUN, line.percent, self.run_limit(line.percent)
        return line.family, float(line.level), self.limit()

    # ---- what a morning makes count ----

    def _count(self, morning: e.MorningTaken) -> None:
        for issue in self.sessions.values():
            if (morning.day - issue.day).days == 1 and issue.done:
                self.earned[issue.number] = self._earned(issue) if self._agrees(issue, morning) else []
                self.passes[issue.number] = self._passed(self.earned[issue.number])

    def _agrees(self, issue: Issue, morning: e.MorningTaken) -> bool:
        rule = self.book.programme.morning
        count = int(self.value(rule.base_mornings))
        before = [m.walking for day, m in sorted(self.mornings.items()) if day <= issue.day][-count:]
        doubtful = morning.masked or morning.sudden or issue.sudden or morning.response == "worse"
        masked = any(result.masked for result in issue.results.values())
        calm = morning.walking <= median(before) + self.value(rule.rise_counts)
        return calm and morning.walking <= self.limit() and not doubtful and not masked

    def _earned(self, issue: Issue) -> list[tuple[str, float, str]]:
        found = []
        for n, result in issue.results.items():
            line = issue.lines[n]
            if isinstance(line, e.Run):
                found += [(RUN, speed, RUN) for speed in self._ran(line, result)]
            elif line.reported and self._lifted(line, result):
                found.append((line.family, float(line.level), line.exercise))
        return found

    def _lifted(self, line: e.Work, result: e.Trained) -> bool:
        level = self.book.ladders[line.family].level(line.level)
        every = len(result.repetitions) >= self.value(level.sets) and min(result.repetitions) >= line.reps_low
        painless = result.pain is not None and result.pain <= self.limit()
        return result.done and every and result.full_range and painless

    def _ran(self, line: e.Run, result: e.Trained) -> list[float]:
        """The speeds that one good run passes; the last of a stage only when it was today's speed."""
        stage = self.stage(line.percent)
        speeds, top = self.speeds(stage), result.top or 0
        last = line.percent == speeds[-1]
        allowed = min(self.value(stage.leave_pain if last else stage.step_pain), self.run_limit(line.percent))
        full = sum(result.repetitions) >= line.repetitions and top >= line.percent
        if not (result.done and full and result.pain is not None and result.pain <= allowed):
            return []
        reached = [s for s in speeds if line.percent <= s <= min(top, line.up_to) and (s != speeds[-1] or last)]
        return reached or [line.percent]

    def _passed(self, earned: list[tuple[str, float, str]]) -> set[str | float]:
        """What these earned lines complete, by the numbers of that morning; a later number undoes nothing."""
        needed = self.value(self.book.programme.strength.sessions_per_level)
        return {name if item != RUN else level for item, level, name in earned if self._enough(item, level, needed)}

    def _enough(self, item: str, level: float, needed: float) -> bool:
        if item == RUN:
            stage = self.stage(level)
            needed = self.value(stage.leave_days) if level == self.speeds(stage)[-1] else 1
        return sum((item, level) in [(i, n) for i, n, _ in earned] for earned in self.earned.values()) >= needed

    def passed(self, what: str | float) -> bool:
        """Whether an exercise, or a speed, was passed."""
        return any(what in passes for passes in self.passes.values())
