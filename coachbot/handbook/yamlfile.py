"""One YAML file as plain text values that know their line; it gives no value a type and judges none."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

# The loader without types: 08 stays 08 and no stays no. The one in C, where it was built, is ten times faster.
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
    """One file: its name as shown, its values (dict, list, str or None), and the text they were read from."""

    file: str
    values: Any
    node: yaml.Node
    raw: bytes

    @property
    def stem(self) -> str:
        """The name of the file without folder and ending."""
        return self.file.rpartition("/")[2].removesuffix(".yaml")

    def line(self, where: Where) -> int:
        """The line of this place, or of the nearest thing around it that is there."""
        node, line = self.node, self.node.start_mark.line
        for step in where:
            found = _inside(node, step)
            if found is None:
                break
            line, node = found
        return int(line) + 1

    def finding(self, where: Where, says: str, field: str | None = None) -> Finding:
        """A finding about this place; its line is that of `field` in it, when one is named."""
        line = self.line(where if field is None else (*where, field))
        place = ".".join(shown(where))
        return Finding(self.file, line, f"{place}: {says}" if place else says)


def shown(where: Where) -> Iterator[str]:
    """The steps to a place as people read them: positions in a list count from 1."""
    return (str(step + 1) if isinstance(step, int) else step for step in where)


def _inside(node: yaml.Node, step: str | int) -> tuple[int, yaml.Node] | None:
    match node, step:
        case yaml.MappingNode(), str():
            found = [(key.start_mark.line, value) for key, value in node.value if key.value == step]
            return found[-1] if found else None
        case yaml.SequenceNode(), int() if step < len(node.value):
            return node.value[step].start_mark.line, node.value[step]
    return None


def read(path: Path, name: str) -> tuple[Page | None, list[Finding]]:
    """The page at `path`, shown as `name`, and what is wrong in its text; no page when it cannot be read at all."""
    try:
        raw = path.read_bytes()
        text = raw.decode("utf-8")
        node = yaml.compose(text, Loader=LOADER)
    except OSError as error:
        return None, [Finding(name, 0, f"cannot be opened ({error.strerror}). Let the coach read it.")]
    except UnicodeDecodeError:
        return None, [Finding(name, 0, "is not UTF-8 text. Save the file as UTF-8.")]
    except yaml.YAMLError as error:
        return None, [_broken(name, text, error)]
    if node is None:
        return None, [Finding(name, 1, "the file is empty. Write its values, or take the file away.")]
    reading = _Reading(name, [])
    return Page(name, reading.values(node, 0), node, raw), reading.findings


def _broken(name: str, text: str, error: yaml.YAMLError) -> Finding:
    mark = getattr(error, "problem_mark", None)
    if mark is None:
        return Finding(name, 0, "holds a character that no text has. Save the file as plain text.")
    line = text.splitlines()[mark.line : mark.line + 1]
    if line and "\t" in line[0][: -len(line[0].lstrip())]:
        return Finding(name, mark.line + 1, "a tab stands where only spaces may. Put spaces in its place.")
    problem = getattr(error, "problem", "")
    return Finding(name, mark.line + 1, f"cannot be read ({problem}). Check this line and the one above.")


@dataclass(frozen=True)
class _Reading:
    file: str
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
        self.findings.append(Finding(self.file, node.start_mark.line + 1, says))
