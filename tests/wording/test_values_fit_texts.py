"""A text only names values that the program gives it, so that no message fails while it is put into words."""

from census import book, texts
from values import fields, given, returned


def test_texts_name_given_values():
    wrong = {key: fields(texts()[key]) - names for key, names in given() if names is not None}
    assert {key: names for key, names in wrong.items() if names} == {}


def test_most_values_are_seen():
    # The test above means little where the source hides the values; it sees them for most keys.
    seen = {key for key, names in given() if names is not None}
    assert {"desk.limited", "echo.walking", "because.ladder.gap", "because.run.over_limit", "alert.situation"} <= seen
    assert len(seen) > len(texts()) / 2


def test_questions_name_shown_values():
    shown = returned("shown")
    assert shown is not None
    asked = {question.ask for dialog in book().dialogs.values() for question in dialog.questions.values()}
    asked |= {key for key in texts() if key.startswith("ask.")}
    assert {key: fields(texts()[key]) - shown for key in asked if fields(texts()[key]) - shown} == {}


def test_signs_name_only_words():
    # A sign may be raised from words, an answer, a number or a row of days: all of them bring only `words`.
    reasons = {key: fields(entry) for key, entry in texts().items() if key.startswith("because.flag.")}
    assert {key: names for key, names in reasons.items() if not names <= {"words"}} == {}


def test_fields_are_plain_names():
    assert [(key, name) for key, entry in texts().items() for name in fields(entry) if not name.isidentifier()] == []


def test_plural_forms_are_complete():
    plural = {key: sorted(entry) for key, entry in texts().items() if not isinstance(entry, str)}
    assert plural
    assert {key: forms for key, forms in plural.items() if forms != ["one", "other"]} == {}
