"""Finds out of a person's line whose case it is about; it carries nothing out."""

from collections.abc import Callable, Mapping, Sequence

Shape = Callable[[str, str], list[list[str]]]
"""The words by which a case of this id and name may be named, one list a way."""
EDGES = ",:.;!?"
MARK = "@"
"""Before an id it names exactly this case, also where two athletes have one name."""
JOINTS = frozenset({"and", "&", "+", "or"})
"""Between two names these make a line about both, which is asked back."""
LINKS = frozenset({"for", "of"})
"""Before a name these belong to it: "open fast running for Sam" is about "open fast running"."""
OWNED = "s"
OWNER = 3
"""How many letters a name needs to be known by a possessor's "s" without its sign ("sams"): "his" is nobody's."""


def address(line: str, names: Mapping[str, str]) -> tuple[list[str], str]:
    """The cases named first in the line, and the line without that name; several when it is not clear which.

    A case is named by its id, by the whole name, or by a part of it, in any spelling of capitals.
    """
    words = line.split()
    said = [plain(word) for word in words]
    cases, at, end = _first(said, names)
    if not cases:
        return [], line
    start = at - 1 if at and said[at - 1] in LINKS else at
    return [*cases, *_joined(words, said, end, names, cases)], " ".join(words[:start] + words[end:])


def around(line: str, names: Mapping[str, str]) -> tuple[str, str]:
    """What stands before the name that a line is about, and what follows it; all of it is before when there is none."""
    words = line.split()
    cases, at, end = _first([plain(word) for word in words], names)
    return (" ".join(words[:at]), " ".join(words[end:])) if cases else (line, "")


def plain(word: str) -> str:
    """A word as it is compared: small letters, without signs around it or the "'s" of a possessor."""
    return word.lower().replace("’", "'").strip(EDGES).removesuffix("'s").strip("'")


def _first(said: Sequence[str], names: Mapping[str, str]) -> tuple[list[str], int, int]:
    """The cases named first, and from where to where their name stands; none and an empty place otherwise.

    "sams" is Sam's; with another name behind it the line may be about either, and both are given.
    """
    cases, at, end = _place(said, names, NAMES)
    owners, owned, beyond = _place(said, names, (_owned,))
    if not owners or (cases and at <= owned):
        return cases, at, end
    return list(dict.fromkeys([*owners, *cases])), owned, beyond


def _place(said: Sequence[str], names: Mapping[str, str], shapes: Sequence[Shape]) -> tuple[list[str], int, int]:
    for at in range(len(said)):
        cases, length = _named(said, at, names, shapes)
        if cases:
            return cases, at, at + length
    return [], 0, 0


def _named(said: Sequence[str], at: int, names: Mapping[str, str], shapes: Sequence[Shape]) -> tuple[list[str], int]:
    """The cases whose name begins here, and its length in words: a whole name goes before a part of another."""
    for forms in shapes:
        lengths = {case: _longest(said, at, forms(case, name)) for case, name in names.items()}
        longest = max(lengths.values(), default=0)
        if longest:
            return [case for case, length in lengths.items() if length == longest], longest
    return [], 0


def _longest(said: Sequence[str], at: int, forms: Sequence[Sequence[str]]) -> int:
    return max((len(form) for form in forms if list(said[at : at + len(form)]) == list(form)), default=0)


def _marked(case: str, name: str) -> list[list[str]]:
    return [[MARK + case.lower()]]


def _whole(case: str, name: str) -> list[list[str]]:
    return [[case.lower()], name.lower().split()]


def _parts(case: str, name: str) -> list[list[str]]:
    return [[part] for part in name.lower().split()]


def _owned(case: str, name: str) -> list[list[str]]:
    *first, last = name.lower().split()
    owners = [[*first, last], *_parts(case, name), [case.lower()]]
    return [[*rest, word + OWNED] for *rest, word in owners if len(word) >= OWNER]


NAMES = (_marked, _whole, _parts)
"""The shapes of a name, the surest first."""


def _joined(
    words: Sequence[str], said: Sequence[str], at: int, names: Mapping[str, str], known: Sequence[str]
) -> list[str]:
    """The cases of a second name that follows the first with "and" or a comma."""
    comma = words[at - 1].endswith(",")
    joint = at < len(words) and said[at] in JOINTS
    if not (comma or joint) or at >= len(words):
        return []
    cases, _ = _named(said, at + 1 if joint else at, names, NAMES)
    return [case for case in cases if case not in known]
