"""One YAML file as plain text values that know their line; it gives no value a type and judges none."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

# The loader without types: 08 stays 08 and no stays no. The one in C is about ten times faster, where it was built.
LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
NOTHING = frozenset({"", "~", "null"})
DEEPEST = 12  # deeper than any file of the handbook; stops an anchor that holds itself

Where = tuple[str | int, ...]


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong in a file, and what to do about it. Line 0 means the file as a whole."""

    file: str
    line: int
    says: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.says}"


@dataclass(frozen=True)
class Page:
    """One file: `name` inside the folder, `file` as it is shown, its values (dict, list, str or None) and its text."""

    name: str
    file: str
    values: Any
    node: yaml.Node
    raw: bytes

    @property
    def stem(self) -> str:
        """The name of the file without folder and ending."""
        return Path(self.name).stem

    def line(self, where: Where) -> int:
        """The line of this place, or of the nearest thing around it that is there."""
        node, line = self.node, self.node.start_mark.line
        for step in where:
            found = _inside(node, step)
            if found is None:
                break
            line, node = found
        return int(line) + 1

    def finding(self, where: Where, says: str) -> Finding:
        """A finding at this place; positions in a list are shown counted from 1."""
        place = ".".join(str(step + 1) if isinstance(step, int) else step for step in where)
        return Finding(self.file, self.line(where), f"{place}: {says}" if place else says)


def _inside(node: yaml.Node, step: str | int) -> tuple[int, yaml.Node] | None:
    match node, step:
        case yaml.MappingNode(), str():
            found = [(key.start_mark.line, value) for key, value in node.value if key.value == step]
            return found[-1] if found else None
        case yaml.SequenceNode(), int() if step < len(node.value):
            return node.value[step].start_mark.line, node.value[step]
    return None


def read(path: Path, name: str, shown: str) -> tuple[Page | None, list[Finding]]:
    """The page at `path` and what is wrong in its text; no page when the text cannot be read at all."""
    try:
        raw = path.read_bytes()
        node = yaml.compose(raw.decode("utf-8"), Loader=LOADER)
    except OSError as error:
        return None, [Finding(shown, 0, f"cannot be opened ({error.strerror}). Check that the file may be read.")]
    except UnicodeDecodeError:
        return None, [Finding(shown, 0, "is not UTF-8 text. Save the file as UTF-8.")]
    except yaml.YAMLError as error:
        return None, [_broken(shown, error)]
    if node is None:
        return None, [Finding(shown, 1, "the file is empty. Write its values, or take the file away.")]
    reading = _Reading(shown, [])
    page = Page(name, shown, reading.values(node, 0), node, raw)
    return page, reading.findings


def _broken(shown: str, error: yaml.YAMLError) -> Finding:
    mark = getattr(error, "problem_mark", None)
    line = mark.line + 1 if mark else 0
    problem = getattr(error, "problem", None) or getattr(error, "reason", None) or "unknown reason"
    if r"'\t'" in problem:
        return Finding(shown, line, "a tab stands where only spaces may. Put spaces in its place.")
    return Finding(shown, line, f"cannot be read as YAML ({problem}). Compare this line and the one above with others.")


@dataclass(frozen=True)
class _Reading:
    shown: str
    findings: list[Finding]

    def values(self, node: yaml.Node, depth: int) -> Any:
        if depth > DEEPEST:
            self._note(node, "too many levels inside each other. Write the values out.")
            return None
        if isinstance(node, yaml.ScalarNode):
            return None if not node.style and node.value in NOTHING else node.value
        if isinstance(node, yaml.SequenceNode):
            return [self.values(item, depth + 1) for item in node.value]
        return dict(self._items(node, depth))

    def _items(self, node: yaml.Node, depth: int) -> Iterator[tuple[str, Any]]:
        seen = set()
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self._note(key, "a name must be one word. Take the brackets away.")
                continue
            if key.value in seen:
                self._note(key, f"{key.value}: stands here twice. Keep one of the two.")
            seen.add(key.value)
            yield key.value, self.values(value, depth + 1)

    def _note(self, node: yaml.Node, says: str) -> None:
        self.findings.append(Finding(self.shown, node.start_mark.line + 1, says))
