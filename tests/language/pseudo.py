"""A made-up language: every word of English with a foreign ending."""

import re

WORD = re.compile(r"(\{\w+\})|([^\W\d_]+)")


def strange(text: str) -> str:
    """The pseudo-language: every word gets a foreign ending; figures, signs and values stay."""
    return WORD.sub(lambda m: m[1] or f"{m[2]}ßu", text)


def translated(value):
    if isinstance(value, dict):
        return {key: translated(each) for key, each in value.items()}
    return [translated(each) for each in value] if isinstance(value, list) else strange(value)
