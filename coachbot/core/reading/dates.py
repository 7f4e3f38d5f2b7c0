"""Days and times of day in the athlete's own words; a date is never after today, and in doubt none is stored."""

import re
from collections.abc import Sequence
from datetime import date, time, timedelta

from coachbot.core.reading.kinds import Kind, Reading, Unsure
from coachbot.core.reading.language import Language
from coachbot.core.reading.tokens import Item, items

WEEK = 7  # days
LONGEST_AGO = 120  # days; older than this is another injury and is asked about
_MONTHS = 12
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")


def day(text: str, language: Language, today: date) -> Reading | Unsure:
    """The calendar day meant, counted back from `today` (the athlete's local day)."""
    if iso := _ISO.fullmatch(text.strip(" .")):
        return _told(_safe(*map(int, iso.groups())), today, text)
    line = items(text, language.tables["dates"], language.numbers)
    line = [item for item in line if item.symbol != "filler"]
    if any(item.symbol == "not" for item in line):
        return Unsure(Kind.DATE, "unclear", text)
    found = _relative(line, today) or _weekday(line, today) or _calendar(line, text, today)
    return _told(found, today, text)


def _told(found: date | None, today: date, text: str) -> Reading | Unsure:
    if found is None:
        return Unsure(Kind.DATE, "unclear", text)
    if not today - timedelta(days=LONGEST_AGO) <= found <= today:
        return Unsure(Kind.DATE, "out-of-scale", text)
    return Reading(Kind.DATE, found, text)


def _relative(line: Sequence[Item], today: date) -> date | None:
    """Words that name a day, and "3 days ago"."""
    back = {int(item.symbol) for item in line if item.symbol.isdecimal()}
    if len(back) == 1:
        return today - timedelta(days=back.pop())
    symbols = [("n" if item.value is not None else item.symbol) for item in line]
    counts = [item.value for item in line if item.value is not None]
    amount = counts[0] if counts else (2 if "one" in symbols and _couple(line) else 1)
    for unit, days in (("day", 1), ("week", WEEK)):
        for form in (["n", unit, "ago"], ["ago", "n", unit], ["one", unit, "ago"], ["ago", "one", unit]):
            if symbols == form and amount == int(amount):
                return today - timedelta(days=int(amount) * days)
    return None


def _couple(line: Sequence[Item]) -> bool:
    return any(item.symbol == "one" and len(item.words) > len("an") for item in line)


def _weekday(line: Sequence[Item], today: date) -> date | None:
    """The most recent such day before today; the same weekday as today is a week ago."""
    named = {item.symbol for item in line if item.symbol.startswith("weekday")}
    others = [item for item in line if not item.symbol.startswith(("weekday", "last")) and not item.figures]
    if len(named) != 1 or others:
        return None
    back = (today.weekday() - int(named.pop().split()[1])) % WEEK or WEEK
    return today - timedelta(days=back)


def _calendar(line: Sequence[Item], text: str, today: date) -> date | None:
    """3/3, 10.3., 28/2, 3rd march, march 3."""
    pair = re.fullmatch(r"(?:on |am |el |le |em |il |op )?(\d{1,2})[./-](\d{1,2})[./]?(?:(\d{2}|\d{4}))?", text)
    if pair:
        return _nearest(int(pair[1]), int(pair[2]), today)
    months = {int(item.symbol.split()[1]) for item in line if item.symbol.startswith("month")}
    days = [int(item.value) for item in line if item.value is not None and item.value == int(item.value)]
    known = all(item.value is not None or item.symbol.startswith(("month", "th", "of")) for item in line)
    return _nearest(days[0], months.pop(), today) if len(months) == len(days) == 1 and known else None


def _nearest(number: int, month: int, today: date) -> date | None:
    this_year = _safe(today.year, month, number)
    if this_year is not None and this_year > today:
        return _safe(today.year - 1, month, number)
    return this_year


def _safe(year: int, month: int, number: int) -> date | None:
    try:
        return date(year, month, number)
    except ValueError:
        return None


_CLOCK = re.compile(r"(\d{1,2})(?: (?:colon|point) (\d{1,2}))?(?: (am|pm))?")
_NOON, _LAST_HOUR, _LAST_MINUTE = 12, 23, 59


def clock(text: str, language: Language) -> Reading | Unsure:
    """A time of day; without am or pm the 24-hour clock is meant."""
    split = re.sub(r"(\d)[.h](\d\d)(?!\d)", r"\1:\2", text)
    line = " ".join(_clock_word(item) for item in items(split, language.tables["clock"], language.numbers)).split()
    if line == ["noon"]:
        return Reading(Kind.TIME, time(_NOON), text)
    match = _CLOCK.fullmatch(" ".join(line))
    if match is None:
        return Unsure(Kind.TIME, "unclear", text)
    hour, minute = int(match[1]), int(match[2] or 0)
    if match[3]:
        hour = hour % _NOON + (_NOON if match[3] == "pm" else 0)
    if hour > _LAST_HOUR or minute > _LAST_MINUTE:
        return Unsure(Kind.TIME, "out-of-scale", text)
    return Reading(Kind.TIME, time(hour, minute), text)


def _clock_word(item: Item) -> str:
    if item.value is not None:
        return f"{item.value:g}"
    return "" if item.symbol == "filler" else (item.symbol or "?")
