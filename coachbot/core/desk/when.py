"""Days and hours in a clinician's line: the coming one for a plan, the last one for a look back; it guesses none."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from coachbot.core.speak import Texts

from .grammar import Rest

WEEK = 7  # days
MONTHS = 12
SHORT = 3
"""Letters of a month's short form: "mar"."""
_ISO = re.compile(r"\s*(\d{4})-(\d{1,2})-(\d{1,2})")


def coming(rest: Rest, today: date, texts: Texts) -> tuple[date | None, Rest]:
    """The day named at the beginning, today or later, and what follows it."""
    return _day(rest.past(rest.words["next"]), today, texts, ahead=True)


def past(rest: Rest, today: date, texts: Texts) -> tuple[date | None, Rest]:
    """The day named at the beginning, today or earlier, and what follows it."""
    return _day(rest, today, texts, ahead=False)


def _day(rest: Rest, today: date, texts: Texts, *, ahead: bool) -> tuple[date | None, Rest]:
    rest = rest.past(rest.words["small"], skipping=False)
    for form in (_written, _relative, _weekday, _calendar):
        found, after = form(rest, today, texts, ahead)
        if found is not None:
            return found, after
    return None, rest


def _written(rest: Rest, today: date, texts: Texts, ahead: bool) -> tuple[date | None, Rest]:
    start = rest.pieces[0].start if rest.pieces else len(rest.line)
    iso = _ISO.match(rest.line, start)
    if not iso:
        return None, rest
    later = tuple(p for p in rest.pieces if p.start >= iso.end())
    return _made(*map(int, iso.groups())), replace(rest, pieces=later)


def _relative(rest: Rest, today: date, texts: Texts, ahead: bool) -> tuple[date | None, Rest]:
    words = {"0": rest.words["today"], "1": rest.words["tomorrow" if ahead else "yesterday"]}
    away, after = rest.take(words)
    if away:
        return today + timedelta(days=int(away)) * (1 if ahead else -1), after
    amount, after = rest.past(rest.words["in"], skipping=False).number(units=False)
    unit, after = after.take({"1": rest.words["day"], "7": rest.words["week"]})
    if amount is None or unit is None or not ahead:
        return None, rest
    return today + timedelta(days=round(amount) * int(unit)), after


def _weekday(rest: Rest, today: date, texts: Texts, ahead: bool) -> tuple[date | None, Rest]:
    table = {str(n): (texts.entries[f"weekday.{n}"], *_own(texts, n)) for n in range(1, WEEK + 1)}
    named, after = rest.take({key: tuple(map(str, words)) for key, words in table.items()})
    if named is None:
        return None, rest
    away = (int(named) - today.isoweekday()) % WEEK
    return (today + timedelta(days=away or WEEK), after) if ahead else (today - timedelta(days=-away % WEEK), after)


def _own(texts: Texts, weekday: int) -> tuple[str, ...]:
    """The words of one weekday that no other day shares ("weekend" names two)."""
    days: Mapping[str, tuple[str, ...]] = texts.choices["days"]
    everyone = [word for words in days.values() for word in words]
    return tuple(word for word in list(days.values())[weekday - 1] if everyone.count(word) == 1)


def _calendar(rest: Rest, today: date, texts: Texts, ahead: bool) -> tuple[date | None, Rest]:
    """3 march, march 3, 3.3., 3/3."""
    names = {str(n): str(texts.entries[f"month.{n}"]) for n in range(1, MONTHS + 1)}
    months = {number: (name, name[:SHORT]) for number, name in names.items()}
    month, after = rest.take(months)
    number, after = (after if month else rest).number(units=False)
    if month is None and number is not None:
        if number != int(number):
            whole, _, part = rest.past(rest.words["small"], skipping=False).pieces[0].text.partition(".")
            return _near(int(whole), int(part), today, ahead), after
        month, after = after.past(rest.words["th"], skipping=False).take(months)
        if month is None:
            pair, later = after.number(units=False)
            slash = "/" in rest.line
            return (_near(int(number), int(pair), today, ahead), later) if pair and slash else (None, rest)
    if month is None or number is None:
        return None, rest
    return _near(int(number), int(month), today, ahead), after


def _near(day: int, month: int, today: date, ahead: bool) -> date | None:
    """The nearest such day on the side wanted."""
    years = (today.year, today.year + (1 if ahead else -1))
    days = [made for year in years if (made := _made(year, month, day))]
    return next((d for d in days if (d >= today if ahead else d <= today)), None)


def _made(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
