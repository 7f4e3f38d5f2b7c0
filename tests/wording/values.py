"""Which values each call in the source gives to the text it says, as far as the source shows them."""

import ast
from collections.abc import Iterator
from string import Formatter

from census import HOLE, SAYS, TREES, called, families, strings

from coachbot.core.speak import Entry

Given = frozenset[str] | None
"""The names of the values a call gives, None where the source does not show them."""


def fields(entry: Entry) -> set[str]:
    """The names a text puts in."""
    templates = [entry] if isinstance(entry, str) else [*entry.values()]
    return {name for each in templates for _, name, _, _ in Formatter().parse(each) if name is not None}


def given() -> Iterator[tuple[str, Given]]:
    """Each key with the values of each call that says it; a pattern stands for all its keys."""
    known = families()
    for function in _functions():
        local = _locals(function)
        for call in (node for node in ast.walk(function) if isinstance(node, ast.Call)):
            name = called(call.func)
            if name in SAYS and len(call.args) > SAYS[name]:
                values = _gives(name, call, local)
                for key in strings(call.args[SAYS[name]]):
                    yield from ((each, values) for each in (known[key] if HOLE in key else {key}))
            elif name == "Reason":
                yield from _saw(call, local)


def returned(function: str) -> Given:
    """The keys of the mapping that a function returns."""
    found = next(each for each in _functions() if each.name == function)
    back = next(node for node in ast.walk(found) if isinstance(node, ast.Return))
    return keys(back.value, {})


def keys(node: ast.expr | None, local: dict[str, ast.expr]) -> Given:
    """The keys of a mapping written out in the source, or in a local name."""
    match node:
        case None:
            return frozenset()
        case ast.Name(id=name) if name in local:
            return keys(local[name], {})
        case ast.Dict(keys=names, values=values):
            parts = [_key(name, value, local) for name, value in zip(names, values, strict=True)]
            return None if None in parts else frozenset(name for part in parts for name in part or ())
    return None


def _key(name: ast.expr | None, value: ast.expr, local: dict[str, ast.expr]) -> Given:
    if name is None:
        return keys(value, local)
    return frozenset({name.value}) if isinstance(name, ast.Constant) and isinstance(name.value, str) else None


def _functions() -> Iterator[ast.FunctionDef]:
    return (node for tree in TREES.values() for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def _locals(function: ast.FunctionDef) -> dict[str, ast.expr]:
    found: dict[str, ast.expr] = {}
    for node in ast.walk(function):
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        value = getattr(node, "value", None)
        if isinstance(target, ast.Name) and isinstance(value, ast.expr):
            found[target.id] = value
    return found


def _gives(name: str, call: ast.Call, local: dict[str, ast.expr]) -> Given:
    if name == "Word":
        return keys(next(iter(call.args[1:2]), None), local)
    if any(keyword.arg is None for keyword in call.keywords):
        return None
    return frozenset(str(keyword.arg) for keyword in call.keywords) | ({"name"} if name == "_tell" else set())


def _saw(call: ast.Call, local: dict[str, ast.expr]) -> Iterator[tuple[str, Given]]:
    named = {keyword.arg: keyword.value for keyword in call.keywords}
    for rule in strings(named["rule"]) if "rule" in named else ():
        if HOLE not in rule:
            yield f"because.{rule}", keys(named.get("saw"), local)
