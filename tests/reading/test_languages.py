"""A language is one folder of data: a made-up one works without a line of code, and an incomplete one is refused."""

import pytest

from coachbot.core.reading import Incomplete, Kind, Language, command, flags, read
from coachbot.language import codes, folder, load, load_full, load_yaml


def disguised(text: str) -> str:
    """A pseudo-language: every word gets a foreign ending; figures and signs stay."""
    return " ".join(f"{word}ßu" if word.isalpha() else word for word in text.split())


def translated(value):
    if isinstance(value, dict):
        return {key: translated(each) for key, each in value.items()}
    return [disguised(text) for text in value]


PSEUDO = Language.from_data("qq", translated(load_yaml(folder() / "en" / "words.yaml")))


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [(Kind.PAIN, "between two and three", 3), (Kind.PAIN, "no pain", 0), (Kind.YES_NO, "definitely not", False),
     (Kind.YES_NO, "yes", True), (Kind.DURATION, "forty five minutes", 2700), (Kind.NUMBER, "twenty", 20)],
)  # fmt: skip
def test_made_up_language_is_read(kind, text, value):
    assert read(kind, disguised(text), PSEUDO).value == value


def test_made_up_commands_are_understood():
    assert command(disguised("not today"), PSEUDO) == "skip"
    assert command("not today", PSEUDO) is None


def test_made_up_free_text_is_asked():
    assert flags(disguised("felt a pop"), PSEUDO).verdict == "ask"


@pytest.mark.parametrize("table", ["pain", "yes_no", "commands", "numbers"])
def test_missing_table_is_refused(table):
    words = load_yaml(folder() / "en" / "words.yaml")
    del words[table]
    with pytest.raises(Incomplete, match=table):
        Language.from_data("qq", words)


def test_short_number_list_refused():
    words = load_yaml(folder() / "en" / "words.yaml")
    with pytest.raises(Incomplete, match="100 number words"):
        Language.from_data("qq", {**words, "numbers": words["numbers"][:-1]})


@pytest.mark.parametrize("code", codes())
def test_every_folder_loads(code):
    assert load(code).code == code


def test_no_stays_a_word():
    assert "no" in load("en").tables["yes_no"].heads


def test_words_load_without_lexicon():
    assert load("en").lexicon is None and load_full("en").lexicon is not None
