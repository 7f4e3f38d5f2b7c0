"""A language is one folder of data: a made-up one works without a line of code, and an incomplete one is refused."""

import re
import shutil
from datetime import UTC, datetime

import pytest
import yaml

from coachbot.coach import Coach
from coachbot.core.reading import Incomplete, Kind, Language, command, flags, read
from coachbot.handbook import texts
from coachbot.language import codes, folder, load, load_full, load_yaml, missing, offered

WORD = re.compile(r"[^\W\d_]+")
CLASS = re.compile(r"(\{\w+\})")


def disguised(text: str) -> str:
    """A pseudo-language: every word gets a foreign ending; figures, signs and the classes of patterns stay."""
    parts = CLASS.split(text)
    return "".join(part if part[:1] == "{" else WORD.sub(lambda m: f"{m[0]}ßu", part) for part in parts)


def translated(value):
    if isinstance(value, dict):
        return {key: translated(each) for key, each in value.items()}
    return [translated(each) for each in value] if isinstance(value, list) else disguised(value)


def flag_words() -> dict:
    """The lexicon in the pseudo-language: only the names of flags stay, since they are the programme's."""
    data = load_yaml(folder() / "en" / "flags.yaml")
    names = {
        "emergencies": data["emergencies"],
        "spellings": {},
        "line": data["line"],
        "line_meaning": data["line_meaning"],
        "weight_meaning": data["weight_meaning"],
        "agree": data["agree"],
        "always_asked": data["always_asked"],
        "agree_emergency": data["agree_emergency"],
        "jumped": data["jumped"],
        "top": data["top"],
    }
    known = (folder() / "en" / "known.txt").read_text("utf-8").split()
    return {**translated(data), **names, "known": translated(known)}


PSEUDO = Language.from_data("qq", translated(load_yaml(folder() / "en" / "words.yaml")))


@pytest.fixture
def place(tmp_path):
    """A folder of languages: English as shipped, and the pseudo-language made of it."""
    home = tmp_path / "language"
    shutil.copytree(folder() / "en", home / "en")
    (home / "qq").mkdir()
    for name in ("words", "texts", "texts_desk", "texts_matrix", "choices", "acts"):
        told = yaml.safe_dump(translated(load_yaml(folder() / "en" / f"{name}.yaml")), allow_unicode=True)
        (home / "qq" / f"{name}.yaml").write_text(told, "utf-8")
    return home


def test_complete_language_is_offered(place):
    assert offered(place) == ("en", "qq")


@pytest.mark.parametrize("name", ["texts", "choices", "acts"])
def test_incomplete_language_is_not(place, name):
    (place / "qq" / f"{name}.yaml").unlink()
    assert offered(place) == ("en",) and f"in {name}" in missing("qq", place)[0]


def test_one_missing_text_is_named(place):
    path = place / "qq" / "texts.yaml"
    said = load_yaml(path)
    del said["weekday.1"]
    path.write_text(yaml.safe_dump(said, allow_unicode=True), "utf-8")
    assert missing("qq", place) == ("weekday.1 in texts",)


def test_incomplete_language_enrols_nobody():
    with pytest.raises(Incomplete, match="de is not offered yet"):
        Coach(None, None).enrol("Sam", "dr-lee", datetime.now(UTC), language="de")


def test_shipped_offer_is_complete():
    assert offered() == ("en",)


def test_made_up_flags_are_found():
    spoken = PSEUDO.with_flags(flag_words())
    told = {text: flags(disguised(text), spoken).verdict for text in ("felt a pop", "no pop", "pop? no")}
    assert told == {"felt a pop": "alert", "no pop": "none", "pop? no": "none"}
    assert [alert.flag for alert in flags(disguised("i want to die"), spoken).alerts] == ["self-harm"]


def test_made_up_texts_and_acts_load(place):
    said = texts.load(place.parent)["qq"]
    assert said.entries["weekday.1"] == "Mondayßu" and "leftßu" in said.choices["side"]["left"]
    assert "approveßu" in said.acts["acts"]["approve"]


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
