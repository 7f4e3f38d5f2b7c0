"""Days and hours in a clinician's line: the coming one for a plan, the last one for a look back; it guesses none."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from coachbot.core.speak import Texts

from .grammar import Rest

WEEK = 7  # days
MONTHS = 12
YEAR = 4  # digits
SHORT = 3
"""Letters of a month's short form: "mar"."""
_ISO = re.compile(r"\s*(\d{4})-(\d{1,2})-(\d{1,2})")


def coming(rest: Rest, today: date, texts: Texts) -> tuple[date | None, Rest]:
    """The day named at the beginning, today or later, and what follows it."""
    return _day(rest.past(rest.words["next"]), today, texts, ahead=True)


def past(rest: Rest, today: date, texts: Texts) -> tuple[date | None, Rest]:
    """The day named at the beginning, today or earlier, and what follows it."""
    return _day(rest, today, texts, ahead=False)


def within(rest: Rest, today: date, texts: Texts) -> tuple[date | None, str]:
    """The day named somewhere among figures, today or earlier where no year says otherwise, and the text without it.

    Figures alone are a day only with their year, so that "8.9" stays a speed.
    """
    text = rest.line[rest.pieces[0].start :] if rest.pieces else ""
    for at, piece in enumerate(rest.pieces):
        here = replace(rest, pieces=rest.pieces[at:])
        day, after = (None, here) if piece.text in rest.words["small"] else past(here, today, texts)
        if day and _says(here, after):
            before = at and rest.pieces[at - 1].text in rest.words["small"]  # "on 6 march"
            start = rest.pieces[at - 1 if before else at].start
            end = after.pieces[0].start if after.pieces else len(rest.line)
            return day, f"{rest.line[rest.pieces[0].start : start]} {rest.line[end:]}"
    return None, text


def _says(here: Rest, after: Rest) -> bool:
    """Whether what was read as a day holds a word or a year."""
    used = [piece.text for piece in here.pieces[: len(here.pieces) - len(after.pieces)]]
    return any(_is_year(word) or not word[0].isdigit() for word in used)


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
    """3 march, march 3, 3.3., 3/3, each with or without a year."""
    names = {str(n): str(texts.entries[f"month.{n}"]) for n in range(1, MONTHS + 1)}
    months = {number: (name, name[:SHORT]) for number, name in names.items()}
    month, after = rest.take(months)
    number, after = (after if month else rest).number(units=False)
    if month is None and number is not None:
        if number != int(number):
            whole, _, part = rest.past(rest.words["small"], skipping=False).pieces[0].text.partition(".")
            return _of_year(int(whole), int(part), after, today, ahead)
        month, after = after.past(rest.words["th"], skipping=False).take(months)
        if month is None:
            pair, later = after.number(units=False)
            slash = "/" in rest.line
            return _of_year(int(number), int(pair), later, today, ahead) if pair and slash else (None, rest)
    if month is None or number is None:
        return None, rest
    return _of_year(int(number), int(month), after, today, ahead)


def _of_year(day: int, month: int, after: Rest, today: date, ahead: bool) -> tuple[date | None, Rest]:
    """The day in the year that follows, else the nearest one."""
    year = after.pieces and _is_year(after.pieces[0].text) and not _ISO.match(after.line, after.pieces[0].start)
    if year:
        return _made(int(after.pieces[0].text), month, day), replace(after, pieces=after.pieces[1:])
    return _near(day, month, today, ahead), after


def _is_year(text: str) -> bool:
    return text.isdigit() and len(text) == YEAR


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
