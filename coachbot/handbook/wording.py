"""Text keys that the dialogs, ladders and flags use and that a language does not have; it judges no text."""

from collections.abc import Iterator
from pathlib import Path

from coachbot.handbook.draft import Draft
from coachbot.handbook.yamlfile import Finding, Page, Where, read

Use = tuple[Page, Where, str]


def findings(draft: Draft, folder: Path) -> Iterator[Finding]:
    """A finding for each key without a text, at the place that uses it, for every language in `folder`."""
    uses = [*_asked(draft), *_exercises(draft), *_named(draft)]
    for path in sorted(folder.glob("language/*/texts.yaml")):
        page, broken = read(path, f"{folder.name}/{path.relative_to(folder).as_posix()}")
        yield from broken
        for user, where, key in uses if page else ():
            if page and key not in page.values:
                yield user.finding(where, f"{key} has no text in {page.file}. Write it there.")


def _asked(draft: Draft) -> Iterator[Use]:
    for name, dialog in draft.dialogs.items():
        for key, question in dialog.questions.items():
            page = draft.pages[f"flow/{name}.yaml"]
            yield page, ("questions", key, "ask"), question.ask
            for part in question.parts:
                where = ("questions", key, "parts")
                yield from ((page, where, f"choice.{part.slot}.{choice}") for choice in part.choices)


def _exercises(draft: Draft) -> Iterator[Use]:
    for name, ladder in draft.ladders.items():
        for position, level in enumerate(ladder.levels):
            for one in (level, level.choice):
                if one:
                    where = ("levels", position)
                    page = draft.pages[f"ladders/{name}.yaml"]
                    yield from ((page, where, f"{key}.{one.exercise}") for key in ("exercise", "how"))


def _named(draft: Draft) -> Iterator[Use]:
    for position, thing in enumerate(draft.equipment):
        yield draft.pages["programme/equipment.yaml"], (position,), f"equipment.{thing}"
    for name in draft.tiers:
        yield draft.pages["programme/tiers.yaml"], (name,), f"tier.{name}"
    for name, flag in draft.flags.items():
        keys = [f"flag.{name}", *([flag.advice] if flag.advice else [])]
        yield from ((draft.pages["programme/flags.yaml"], (name,), key) for key in keys)
