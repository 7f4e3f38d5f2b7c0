"""The whole programme as readable text: every number with unit, range, source and why; it reads no file."""

from collections.abc import Iterator
from textwrap import fill

from coachbot.core.book import COMMON_PRACTICE, Flag, Handbook, Ladder, Level, Programme, Source, Sourced, Stage

WIDTH = 100
INDENT = 6
NAME = 30
VALUE = 26
RANGE = 12
SCALE = "0-10"
SEEN = {"seen": "read in the paper", "memory": "from memory", "second-hand": "read where it is quoted"}


def programme_text(handbook: Handbook) -> str:
    """The programme in sections, at most 100 characters wide."""
    return "\n".join(_lines(handbook)).rstrip() + "\n"


def _lines(handbook: Handbook) -> Iterator[str]:
    yield f"The programme, version {handbook.version}"
    yield from _wrapped("Each number: value and unit, the range a clinician may set, the source, and why.", 0)
    yield from _course(handbook)
    yield from _plain(handbook)
    for stage in handbook.stages:
        yield from _stage(handbook, stage)
    for ladder in sorted(handbook.ladders.values(), key=lambda ladder: ladder.priority):
        yield from _ladder(handbook, ladder)
    yield from _tiers(handbook)
    yield from _sources(handbook)


# ---- pieces ------------------------------------------------------------------------------------------------------


def _title(words: str, note: str | None = None) -> Iterator[str]:
    yield from ("", words, "-" * len(words))
    if note:
        yield from _wrapped(note, 0)


def _wrapped(words: str, indent: int) -> Iterator[str]:
    further = " " * max(indent, INDENT) if indent else ""
    yield fill(words, WIDTH, initial_indent=" " * indent, subsequent_indent=further, break_on_hyphens=False)


def _number(handbook: Handbook, address: str, number: Sourced) -> Iterator[str]:
    low, high = number.range
    unit = f"on the {SCALE} scale" if number.unit == SCALE else number.unit
    value = f"{number.value:g} {unit}"
    span = f"{low:g} to {high:g}" if low < high else "fixed"
    cited = _cited(handbook, number.source)
    yield from _wrapped(f"{address:<{NAME}} {value:<{VALUE}} {span:<{RANGE}} {cited}", 2)
    yield from _wrapped(number.why, INDENT)


def _cited(handbook: Handbook, source: str) -> str:
    if source == COMMON_PRACTICE:
        return "common practice"
    known = handbook.sources[source]
    mark = "" if known.seen == "seen" else f", {known.seen}"
    return f"{_authors(known.authors)} {known.year}{mark}"


def _authors(authors: str) -> str:
    match authors.split(", "):
        case [one]:
            return one
        case [one, other]:
            return f"{one} and {other}"
        case [first, *_]:
            return f"{first} et al."
    return authors


# ---- sections ----------------------------------------------------------------------------------------------------


def _course(handbook: Handbook) -> Iterator[str]:
    yield from _title("States of a case", " -> ".join(handbook.course.states))


def _plain(handbook: Handbook) -> Iterator[str]:
    """The files that hold nothing but numbers: first those every case needs, then the others."""
    apart = {"stages", "tiers", *handbook.ladders}
    for stem in dict.fromkeys((*Programme.model_fields, *map(_stem, handbook.numbers))):
        if stem not in apart:
            part = Programme.model_fields.get(stem)
            yield from _title(stem.replace("_", " ").capitalize(), part and getattr(part.annotation, "__doc__", None))
            yield from _under(handbook, f"{stem}.")


def _stem(address: str) -> str:
    return address.partition(".")[0]


def _under(handbook: Handbook, prefix: str) -> Iterator[str]:
    """Every number whose address begins like this."""
    for address, number in handbook.numbers.items():
        if address.startswith(prefix):
            yield from _number(handbook, address, number)


def _stage(handbook: Handbook, stage: Stage) -> Iterator[str]:
    zones = " + ".join(f"{zone.value:g}" for zone in stage.zones)
    yield from _title(f"Running stage {stage.number}: {zones} m", stage.why)
    if stage.needs_word:
        yield from _wrapped("It begins only when the clinician opens it.", 0)
    yield from _under(handbook, f"stages.{stage.number}.")


def _ladder(handbook: Handbook, ladder: Ladder) -> Iterator[str]:
    need = "one of this group is required" if ladder.required else "optional"
    note = f"{ladder.why} ({_cited(handbook, ladder.source)})"
    yield from _title(f"Ladder {ladder.family}: {ladder.group}, {need}", note)
    for number, level in enumerate(ladder.levels, 1):
        yield from _wrapped(f"{number}  {_level(level)}", 2)
    for name in ("sets", "reps_low", "reps_high", "times_a_day"):
        yield from _doses(handbook, ladder, name)


def _level(level: Level) -> str:
    times = f", {level.times_a_day.value:g} times a day" if level.times_a_day else ""
    other = f", or {level.choice.exercise} when the clinician chooses it" if level.choice else ""
    needs = f"; needs {', '.join(level.needs)}" if level.needs else ""
    return f"{level.exercise}{other}: {_dose(level)}{times}{needs}"


def _dose(level: Level) -> str:
    low, high = level.reps_low.value, level.reps_high.value
    reps = f"{low:g}-{high:g}" if low < high else f"{low:g}"
    return f"{level.sets.value:g} x {reps}{' a side' if level.each_side else ''}"


def _doses(handbook: Handbook, ladder: Ladder, name: str) -> Iterator[str]:
    """The numbers of one name, once for all the levels that share them."""
    numbered = [(n, getattr(level, name)) for n, level in enumerate(ladder.levels, 1)]
    shared: dict[Sourced, list[int]] = {}
    for n, number in numbered:
        if number:
            shared.setdefault(number.model_copy(update={"key": ""}), []).append(n)
    for number, levels in shared.items():
        span = f"{levels[0]}-{levels[-1]}" if len(levels) > 1 else f"{levels[0]}"
        yield from _number(handbook, f"{ladder.family}.levels.{span}.{name}", number)


def _tiers(handbook: Handbook) -> Iterator[str]:
    for name, tier in handbook.tiers.items():
        yield from _title(f"Signs: {name}", f"{tier.why} ({_cited(handbook, tier.source)})")
        yield from _under(handbook, f"tiers.{name}.")
        for key, flag in handbook.flags.items():
            if flag.tier == name:
                yield from _flag(handbook, key, flag)


def _flag(handbook: Handbook, key: str, flag: Flag) -> Iterator[str]:
    onset = "  expected of the injury itself" if flag.expected_at_onset else ""
    yield f"  {key:<{NAME}} {_cited(handbook, flag.source)}{onset}"
    yield from _wrapped(flag.why, INDENT)


def _sources(handbook: Handbook) -> Iterator[str]:
    yield from _title("Sources")
    for source in sorted(handbook.sources.values(), key=lambda source: (source.authors, source.year)):
        yield from _source(source)


def _source(source: Source) -> Iterator[str]:
    doi = f" doi {source.doi}." if source.doi else ""
    yield from _wrapped(f"{source.authors} {source.year}. {source.title}. {source.journal}.{doi}", 2)
    yield from _wrapped(f"{source.where} ({SEEN[source.seen]}, {source.checked}).", INDENT)
