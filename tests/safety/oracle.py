"""An independent judge: from the facts and messages of a case alone it says which of the never-lines is broken.

It uses the handbook's numbers and the reading of red flags, and none of the coach's rules, guards or states.
"""

import re
from collections.abc import Iterator, Sequence
from copy import copy
from datetime import datetime, timedelta
from itertools import pairwise
from math import ceil

from ledger import RUN, Ledger

from coachbot.core import events as e
from coachbot.core.book import Handbook
from coachbot.core.days import instant
from coachbot.core.effects import ATHLETE, CLINICIANS, TEAM, Alert, Effect
from coachbot.core.reading import flags
from coachbot.core.speak import speak
from coachbot.core.step import Step

URGENT = ("emergency", "same-day")
BY_CLINICIANS = (
    e.Approved, e.Limited, e.Chose, e.Opened, e.Waived, e.Cleared, e.Closed, e.Released, e.Acknowledged, e.Refused,
)  # fmt: skip
YES_IS_A_SIGN = ("emergency", "urgent", "sudden", "after_sudden", "stop_sudden", "doubt")
CLEARING = re.compile(
    r"\b(cleared|clearance|signed off|fit to|ready to (play|compete|return)|good to go|safe to (play|return)"
    r"|fully (fit|healed|recovered)|healed|back to (full )?(sport|play|training))\b",
    re.IGNORECASE,
)


class Oracle:
    """Judges one case, step by step; every finding is a sentence that begins with the number of the line."""

    def __init__(self, book: Handbook) -> None:
        self.book = book
        self.books = Ledger(book)
        self.issues: dict[str, list[tuple[int, float, datetime]]] = {}
        self.trained: set[tuple[int, int]] = set()
        self.judged: set[int] = set()
        self.steps: list[Step] = []

    def judge(self, step: Step) -> list[str]:
        """All that is wrong with one step; its facts are entered one after the other."""
        found: list[str] = []
        if any(isinstance(fact, e.Undone) for fact in step.facts):
            self._take_back()
        self.steps.append(step)
        arrival = step.facts[0] if step.facts else None
        reopened = False
        for fact in step.facts:
            reopened = reopened or isinstance(fact, e.Reopened)
            found += self._people(fact, arrival)
            found += self._once(fact, reopened)
            if isinstance(fact, e.Prescribed):
                found += self._issued(fact)
            self.books.add(fact)
            if isinstance(fact, e.Prescribed):
                self._enter(fact)
        return [*found, *self._signs(step), *self._alerts(arrival), *self._words(step.effects)]

    def _take_back(self) -> None:
        """The last act that changed something never happened: the books are written anew without it."""
        acts = [n for n, step in enumerate(self.steps) if isinstance(step.facts[0], e.Acted) and len(step.facts) > 1]
        again = Oracle(self.book)
        for n, step in enumerate(self.steps):
            if n != acts[-1]:
                again.judge(step)
        self.__dict__.update(again.__dict__)

    def fork(self) -> "Oracle":
        """A judge of the same case from here on, whose books are its own."""
        other = copy(self)
        other.books, other.issues = self.books.fork(), {item: [*known] for item, known in self.issues.items()}
        other.trained, other.judged, other.steps = {*self.trained}, {*self.judged}, [*self.steps]
        return other

    def forgets(self, wake: datetime | None) -> list[str]:
        """An alert that is open although nothing will wake the coach in time."""
        due = [self._due(alert) for alert in self.books.open_alerts]
        late = [at for at in due if wake is None or wake > at]
        return [f"6: an open alert is due at {at}, and the next wake is {wake}" for at in late]

    # ---- 1, 2, 3, 4, 7, 8: what is issued ----

    def _issued(self, fact: e.Prescribed) -> Iterator[str]:
        books = self.books
        if not fact.lines:
            return
        for wrong, name in ((books.held, "held"), (not books.approved, "not approved"), (books.closed, "closed")):
            if wrong:
                yield f"1: a session was issued on {fact.day} while the case is {name}"
        if fact.day != books.day(fact.at) or fact.day not in books.mornings:
            yield f"2: a session for {fact.day} was issued at {fact.at} without a walking score of that day"
        loads = [line for line in fact.lines if line.reported]
        if loads and books.open_alerts:
            yield f"5: loading was issued on {fact.day} while an alert waits for a person"
        kinds = [isinstance(line, e.Run) for line in loads]
        if kinds != sorted(kinds, reverse=True):
            yield f"8: strength comes before the run on {fact.day}"
        for line in loads:
            yield from self._run(fact, line) if isinstance(line, e.Run) else self._work(fact, line)
            yield from self._rise(fact, line)

    def _run(self, fact: e.Prescribed, line: e.Run) -> Iterator[str]:
        books, running = self.books, self.book.programme.running
        morning = books.mornings.get(fact.day)
        if morning is None or morning.walking > books.limit():
            yield f"2: a run was issued on {fact.day} with walking {morning and morning.walking}"
        wait = books.value(self.book.programme.course.run_word_before_day)
        if books.injured and (fact.day - books.injured).days < wait and "early-run" not in books.opened:
            yield f"2: a run was issued on day {(fact.day - books.injured).days} without a clinician's word"
        if max(line.percent, line.up_to) > books.value(running.fast_above) and "fast" not in books.opened:
            yield f"7: {line.percent:g} % (up to {line.up_to:g}) was issued on {fact.day}, and fast is not opened"
        speeds = books.all_speeds()
        before = [s for s in speeds if s < line.percent]
        if before and not books.passed(before[-1]) and not self._waived(RUN, line.percent):
            yield f"3: {line.percent:g} % was issued on {fact.day}, and {before[-1]:g} % was not passed"
        if self._fast(line, None):
            gap = max(2, ceil(books.value(running.fast_gap) / 24))
            yield from self._too_close(fact, gap, "fast runs", self._fast)

    def _work(self, fact: e.Prescribed, line: e.Work) -> Iterator[str]:
        books, ladder = self.books, self.book.ladders[line.family]
        before = [level.exercise for level in ladder.levels[: line.level - 1]]
        missed = [each for each in before if not books.passed(each)]
        if missed and not self._waived(line.family, line.level):
            yield f"3: {line.family} {line.level} was issued on {fact.day}, and {missed[-1]} was not passed"
        gap = ceil(books.value(self.book.programme.strength.gap) / 24)
        yield from self._too_close(fact, gap, "strength days", lambda each, _: each.reported and each.kind == "work")

    def _fast(self, line: e.Line, result: e.Trained | None) -> bool:
        """Whether a run was fast by what was told of it, else by the fastest it allowed."""
        if not isinstance(line, e.Run):
            return False
        top = line.up_to if result is None else result.top or 0
        return max(line.percent, top) >= self.books.value(self.book.programme.running.fast_above)

    def _too_close(self, fact: e.Prescribed, gap: int, what: str, kind) -> Iterator[str]:
        """Days that the athlete did, or may have done: not told is not the same as not done."""
        for issue in self.books.sessions.values():
            lines = [n for n, line in enumerate(issue.lines) if kind(line, issue.results.get(n))]
            may = [n for n in lines if n not in issue.results or issue.results[n].done]
            if may and not issue.refused and 0 < (fact.day - issue.day).days < gap:
                yield f"8: {what} on {issue.day} and {fact.day}, closer than {gap} days"

    def _rise(self, fact: e.Prescribed, line: e.Line) -> Iterator[str]:
        books = self.books
        item, level, _ = books.place(line)
        hurt = books.hurt.get(item)
        if hurt and level > self._lower(item, hurt.level):
            yield f"4: {item} {level:g} was issued on {fact.day} after pain over the limit at {hurt.level:g}"
        if hurt and item == RUN:
            start = instant(fact.day, books.value(self.book.programme.course.session_hour), books.zone)
            wait = timedelta(hours=books.value(self.book.programme.running.gap_after_pain))
            if max(start, fact.at) < hurt.at + wait:
                yield f"4: a run was issued on {fact.day}, too soon after pain at {hurt.at}"
        earlier = [each for each in self.issues.get(item, []) if each[0] < fact.day.toordinal()]
        if not earlier or level <= earlier[-1][1] or self._waived(item, level):
            return
        _, was, since = earlier[-1]
        morning = books.mornings.get(fact.day)
        if morning is None or morning.walking > books.limit():
            yield f"4: {item} rose to {level:g} on {fact.day}, a day with walking {morning and morning.walking}"
        if level > self._highest(item, was):
            yield f"4: {item} rose from {was:g} to {level:g} on {fact.day}, more than its step"
        agreed = [at for at, to in books.confirmed.get(item, []) if at >= since and to >= level]
        opened = item == RUN and books.opened.get("fast", since) > since
        if books.signed and books.signed_at <= since and not agreed and not opened:
            yield f"4: {item} rose to {level:g} on {fact.day} without a clinician's word in signed mode"

    def _lower(self, item: str, level: float) -> float:
        if item != RUN:
            return max(level - 1, 1)
        below = [speed for speed in self.books.all_speeds() if speed < level]
        down = int(self.books.value(self.book.programme.running.steps_down))
        return below[-down] if len(below) >= down else self.books.all_speeds()[0]

    def _highest(self, item: str, was: float) -> float:
        if item != RUN:
            return was + 1
        above = [speed for speed in self.books.all_speeds() if speed > was]
        inside = [speed for speed in self.books.speeds(self.books.stage(was)) if speed > was]
        steps = int(self.books.value(self.books.stage(was).most_steps_up))
        return max(above[:1] + inside[:steps])

    def _waived(self, item: str, level: float) -> bool:
        return any(to >= level for _, to in self.books.waived.get(item, []))

    def _enter(self, fact: e.Prescribed) -> None:
        for line in fact.lines:
            if line.reported:
                item, level, _ = self.books.place(line)
                known = [each for each in self.issues.get(item, []) if each[0] != fact.day.toordinal()]
                self.issues[item] = [*known, (fact.day.toordinal(), level, fact.at)]

    # ---- 5, 6: signs and alerts ----

    def _signs(self, step: Step) -> Iterator[str]:
        facts = step.facts
        flagged = {fact.flag: fact.tier for fact in facts if isinstance(fact, e.Flagged)}
        alerted = {fact.flag for fact in facts if isinstance(fact, e.Alerted)}
        tiers = self.book.tiers
        for flag, tier in flagged.items():
            if tier != "watch" and flag not in alerted:
                yield f"5: the sign {flag} was stored without an alert"
            if tiers[tier].holds and not self.books.held and not isinstance(facts[0], e.Acted):
                yield f"5: the sign {flag} does not hold the case"
        issued = [line for fact in facts if isinstance(fact, e.Prescribed) for line in fact.lines]
        if issued and any(tier in URGENT for tier in flagged.values()):
            yield "5: a red flag was answered with a session"
        if isinstance(facts[0] if facts else None, e.Heard):
            yield from self._heard(step, facts[0].text, set(flagged))
        for fact in facts:
            if isinstance(fact, e.Answered) and self._sign(fact) and not flagged:
                yield f"5: the answer {fact.value} to {fact.slot} raised no sign"

    def _heard(self, step: Step, text: str, flagged: set[str]) -> Iterator[str]:
        noted = any(isinstance(fact, e.Noted) for fact in step.facts)
        for found in flags(text, self.book.languages["en"]).alerts:
            expected = self.book.flags[found.flag].expected_at_onset and noted
            if found.flag not in flagged and not expected:
                yield f"5: {found.words!r} was heard, and no sign {found.flag} was stored"

    def _sign(self, fact: e.Answered) -> bool:
        alarm = self.books.value(self.book.programme.pain.rest_alarm)
        scored = fact.slot in ("pain_now", "run_pain", "work_pain") and float(str(fact.value)) >= alarm
        chosen = (fact.slot, fact.value) in (("gait", "cannot"), ("age", "under-18"))
        return scored or chosen or (fact.slot in YES_IS_A_SIGN and fact.value is True)

    def _alerts(self, arrival: e.Event | None) -> Iterator[str]:
        if isinstance(arrival, e.Ticked):
            for alert in self.books.open_alerts:
                if self._due(alert) <= arrival.at:
                    yield f"6: the alert {alert.alert} was due at {self._due(alert)} and was not sent again"

    def _due(self, alert: e.Alerted) -> datetime:
        tier = self.book.tiers[alert.tier]
        wait = tier.repeat_every or tier.acknowledge_within
        assert wait is not None
        slower = self.book.numbers["desk.alert_again"].value if alert.alert in self.books.told else 0
        return alert.at + timedelta(minutes=max(wait.value, slower))

    # ---- 9, 10: words and people ----

    def _words(self, effects: Sequence[Effect]) -> Iterator[str]:
        texts = self.book.texts["en"]
        for effect in effects:
            if effect.to == TEAM:
                yield "10: something was said to the team"
            refusal = [line.key for line in effect.lines] == ["desk.no_right"]
            if effect.to not in (ATHLETE, CLINICIANS, *self.books.clinicians) and not refusal:
                yield f"10: something was said to {effect.to}, who has no part in the case"
            if effect.to == ATHLETE and isinstance(effect, Alert):
                yield "6: an alert went to the athlete"
            said = speak(effect.lines, texts)
            if effect.to == ATHLETE and not self.books.cleared and CLEARING.search(said):
                yield f"9: {CLEARING.search(said)!r} was said before the signature"

    def _people(self, fact: e.Event, arrival: e.Event | None) -> Iterator[str]:
        by = getattr(fact, "by", "coach")
        acted = isinstance(arrival, e.Acted) and arrival.by == by and by in self.books.clinicians
        own = isinstance(fact, e.Held | e.Noted | e.Stepped) and by == "coach"
        if (isinstance(fact, BY_CLINICIANS) or (by != "coach" and not isinstance(fact, e.Enrolled | e.Acted))) and not (
            acted or own
        ):
            yield f"10: {fact.kind} by {by} without that clinician's act"
        if isinstance(fact, e.Went) and fact.to == "returned" and not self.books.cleared:
            yield "9: the case returned without a signature"

    # ---- 12: counted once, and never lost ----

    def _once(self, fact: e.Event, reopened: bool) -> Iterator[str]:
        match fact:
            case e.Trained():
                if (fact.session, fact.line) in self.trained and not reopened:
                    yield f"12: line {fact.line} of session {fact.session} was counted twice"
                self.trained.add((fact.session, fact.line))
            case e.Judged():
                if fact.session in self.judged and not reopened:
                    yield f"12: session {fact.session} was judged twice"
                self.judged.add(fact.session)
            case e.SessionDone() | e.SessionSkipped():
                issue = self.books.sessions[fact.session]
                if issue.done:
                    yield f"12: session {fact.session} ended twice"
            case e.Prescribed():
                last = self.books.last
                again = last and last.number == fact.number
                if again and (last.results or last.done or last.day != fact.day):
                    yield f"12: session {fact.number} was replaced after it was begun"
                if last and not again and fact.number != last.number + 1:
                    yield f"12: session {fact.number} follows session {last.number}"


def verdict(steps: Sequence[Step], book: Handbook) -> list[str]:
    """All that is wrong in a whole case."""
    oracle = Oracle(book)
    return [finding for step in steps for finding in oracle.judge(step)]


def ordered(steps: Sequence[Step]) -> bool:
    """Whether no fact is older than the one before it."""
    times = [fact.at for step in steps for fact in step.facts]
    return all(one <= other for one, other in pairwise(times))
