"""The pages of a case in numbers: week, readiness, load and outlook, as lines for clinicians; they change nothing."""

from collections.abc import Sequence

from coachbot.core.effects import Word
from coachbot.core.rules import afterwards, injury, monitor, outlook, readiness, weight
from coachbot.core.rules.outlook import Own
from coachbot.core.sums.outlook import Outlook
from coachbot.core.talk.plan import week
from coachbot.core.turn import Turn

from .say import Bid

METRES = "running_maths.fast_metres_before_return"


def ready(turn: Turn) -> tuple[Word, ...]:
    """How many criteria are met, what is missing in one sentence, and every criterion with its numbers."""
    criteria = readiness.criteria(turn)
    met, count = sum(criterion.met for criterion in criteria), len(criteria)
    head = Word("criterion.head", {"name": turn.state.name, "met": met, "count": count})
    lacking = tuple(_named(g) if g.standing == "missing" else _stands(g) for g in criteria if not g.met)
    lines = [head, Word("criterion.missing", {"criteria": lacking}) if lacking else Word("criterion.all")]
    for number, criterion in enumerate(criteria, start=1):
        lines += [Word("criterion.line", {"n": number, "standing": _stands(criterion)}), *criterion.numbers]
    return (*lines, Word("criterion.wanted"), *readiness.side_words(turn, "strength"), _metres(turn))


def _named(criterion: readiness.Criterion) -> Word:
    return Word(f"criterion.{criterion.name}")


def _stands(criterion: readiness.Criterion) -> Word:
    return Word(f"criterion.standing.{criterion.standing}", {"criterion": _named(criterion)})


def _metres(turn: Turn) -> Word:
    first = min((s.day for s in turn.state.sessions), default=turn.today)
    metres, wanted = round(monitor.fast_metres(turn, first, turn.today)), turn.number(METRES)
    return Word("figures.metres" if metres >= wanted else "figures.metres_few", {"metres": metres, "wanted": wanted})


def remarks(turn: Turn) -> tuple[Word, ...]:
    """The trend and, after a jump, the flare: what the digest and the case say of the days."""
    trend = monitor.pain_trend(turn)
    word = trend.word.replace(" ", "-")
    said = [Word(f"trend.{word}", {"answers": trend.answers, "change": round(trend.change, 1)})]
    return (*said, Word("trend.flare")) if monitor.flared(turn) else tuple(said)


def load(turn: Turn) -> tuple[Word, ...]:
    """Trend, training load of the week with its change, monotony and strain, and estimates of strength."""
    weeks = monitor.weeks(turn)
    now = weeks.now
    lines = [*remarks(turn), Word("load.week", {"total": now.total, "answered": now.answered, "days": now.days})]
    if weeks.change is None:
        lines.append(Word("load.no_change"))
    else:
        lines.append(Word("load.change", {"percent": f"{weeks.change:+.0%}", "before": weeks.before.total}))
    if now.monotony is None or now.strain is None:
        lines.append(Word("load.no_monotony"))
    else:
        lines.append(Word("load.monotony", {"monotony": f"{now.monotony:.2f}", "strain": round(now.strain)}))
    return (*lines, *_estimates(turn))


def _estimates(turn: Turn) -> tuple[Word, ...]:
    found = ((family, weight.estimate(turn, family)) for family in turn.state.ladders)
    return tuple(
        Word("load.estimate", {"family": Word(f"family.{family}"), "kg": kg, "reps": reps, "most": round(most)})
        for family, (kg, reps, most) in ((family, last) for family, last in found if last)
    )


def ahead(turn: Turn, others: Sequence[Own]) -> tuple[Word, ...]:
    """How long similar athletes took; nothing before the examination, and for a stretch type no sprint numbers."""
    view = outlook.view(turn, others)
    if view is None:
        return (Word("outlook.not_yet", {"day": turn.number("outlook.not_before_day")}),)
    kind = outlook.compared_with(turn.state)
    groups = ((Word(f"group.{name}"), _range(each)) for name, each in view.published)
    lines = [Word("outlook.published", {"group": group, **days}) for group, days in groups]
    if kind == outlook.STRETCH:
        lengthening, usual = outlook.stretch_means(turn)
        lines.append(Word("outlook.stretch", {"lengthening": lengthening, "usual": usual}))
    if view.curve:
        middle, low, high = (f"{day:g}" if day else "–" for day in view.curve.median())
        values = {"cases": view.curve.cases, "back": view.curve.returns, "median": middle, "low": low, "high": high}
        lines.append(Word("outlook.own", values))
    else:
        lines.append(Word("outlook.too_few", {"own": view.own, "least": turn.number("outlook.own_least")}))
    if view.combined:
        lines.append(Word("outlook.combined", _range(view.combined)))
    if injury.tendon(turn.state):
        lines.append(Word("outlook.tendon"))
    return (*lines, Word("outlook.caution"))


def _range(found: Outlook) -> dict[str, object]:
    return {"athletes": found.of_ten, "low": round(found.low), "high": round(found.high)}


def summary(turn: Turn) -> tuple[Word, ...]:
    """What a case came to, for its end: days, check-ins, sessions, fast metres, criteria, matches."""
    state = turn.state
    done = sum(s.done_at is not None for s in state.sessions)
    first = min((s.day for s in state.sessions), default=turn.today)
    values = {"name": state.name, "mornings": len(state.mornings), "sessions": done}
    back = afterwards.day_of_return(state, turn.today)
    metres = round(monitor.fast_metres(turn, first, turn.today))
    matches = sum(1 for match in state.played if match.minutes)
    return (
        Word("summary.head", values),
        Word("summary.return", {"days": "–" if back is None else back, "metres": metres, "matches": matches}),
    )


def show_week(turn: Turn, bid: Bid) -> None:
    """Say the coming week to the clinician."""
    turn.say(bid.by, *week(turn))


def show_ready(turn: Turn, bid: Bid) -> None:
    """Say the criteria of the return."""
    turn.say(bid.by, *ready(turn))


def show_load(turn: Turn, bid: Bid) -> None:
    """Say trend, load and estimates."""
    turn.say(bid.by, *load(turn))


def show_ahead(turn: Turn, bid: Bid) -> None:
    """Say the outlook, with the clinic's other cases that came with the act."""
    turn.say(bid.by, *ahead(turn, [Own(kind, days, back) for kind, days, back in bid.others]))


def show_summary(turn: Turn, bid: Bid) -> None:
    """Say what the case came to so far."""
    turn.say(bid.by, *summary(turn))
