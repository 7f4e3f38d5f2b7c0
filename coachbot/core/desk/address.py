"""Finds out of a clinician's line whose case it is about; it carries nothing out."""

from collections.abc import Mapping


def address(line: str, names: Mapping[str, str]) -> tuple[list[str], str]:
    """The cases named in the line (ids or names, any spelling of capitals), and the line without the name."""
    words = line.split()
    lower = [word.lower().strip(",:.'") for word in words]
    for case, name in sorted(names.items(), key=lambda item: -len(item[1].split())):
        for known in {name.lower(), case.lower()}:
            parts = known.split()
            for at in range(len(words) - len(parts) + 1):
                if lower[at : at + len(parts)] == parts:
                    same = [c for c, n in names.items() if known in (n.lower(), c.lower())]
                    return same, " ".join(words[:at] + words[at + len(parts) :])
    return [], line
