"""A file that cannot be read is told with its name, its line and what to do; never with a traceback."""

import pytest

from coachbot.handbook import HandbookError, check, load

PAIN = "programme/pain.yaml"

SHAPES = {
    "a tab": (
        ("limit:\n  value", "limit:\n\tvalue", "\tvalue"),
        "a tab stands where only spaces may. Put spaces in its place.",
    ),
    "a name twice": (
        ("fast_stop:", "limit:", "limit:\n  value: 1\n"),
        "limit: stands here twice. Keep one of the two.",
    ),
    "a field twice": (
        ("value: 4\n", "value: 4\n  value: 3\n", "value: 3"),
        "value: stands here twice. Keep one of the two.",
    ),
    "brackets as a name": (
        ("limit:\n", "[limit, two]: 3\nlimit:\n", "[limit, two]"),
        "a name must be one word. Take the brackets away.",
    ),
}


@pytest.mark.parametrize("case", SHAPES)
def test_wrong_shape_is_told(case, breaks):
    (old, new, at), says = SHAPES[case]
    breaks(PAIN, old, new, at, says)


WHOLE = {
    "empty": ("", ":1: the file is empty. Write its values, or take the file away."),
    "only remarks": ("# nothing\n", ":1: the file is empty. Write its values, or take the file away."),
    "a list": ("- 4\n", ":1: must be a group of named values. Compare it with its neighbours."),
    "one word": ("four\n", ":1: must be a group of named values. Compare it with its neighbours."),
    "no text": (b"\xff\xfe\x00", ": is not UTF-8 text. Save the file as UTF-8."),
    "control codes": (b"limit: \x01\n", ": holds a character that no text has. Save the file as plain text."),
    "holds itself": ("limit: &a [*a]\n", ":1: too many levels inside each other. Write the values out."),
}


@pytest.mark.parametrize("case", WHOLE)
def test_unreadable_file_is_told(case, folder):
    content, says = WHOLE[case]
    (folder / PAIN).write_bytes(content if isinstance(content, bytes) else content.encode())
    assert f"dialogs/{PAIN}{says}" in map(str, check(folder))


@pytest.mark.parametrize("content", ["limit: [1, 2\nrest: 3\n", "limit: {a: 1\n", "limit: a: b\n", "limit: *no\n"])
def test_broken_yaml_is_told(content, folder):
    (folder / PAIN).write_text(content)
    told = [str(finding) for finding in check(folder) if finding.file.endswith("pain.yaml")]
    assert len(told) == 1
    assert "cannot be read (" in told[0]
    assert told[0].endswith("Check this line and the one above.")
    assert told[0].split(":")[1].isdigit()


@pytest.mark.parametrize(
    "name", ["sources.yaml", PAIN, "programme/stages.yaml", "programme/flags.yaml", "flow/course.yaml"]
)
def test_missing_file_is_told(name, folder):
    (folder / name).unlink()
    assert f"dialogs/{name}: the file is missing. Put it back." in map(str, check(folder))
    with pytest.raises(HandbookError, match="the file is missing"):
        load(folder)


def test_missing_folder_is_told(tmp_path):
    with pytest.raises(HandbookError, match=r"pain\.yaml: the file is missing"):
        load(tmp_path / "nowhere")


def test_folder_in_place_of_file(folder):
    (folder / PAIN).unlink()
    (folder / PAIN).mkdir()
    assert any(f"dialogs/{PAIN}: cannot be opened" in str(finding) for finding in check(folder))


@pytest.mark.parametrize(
    ("name", "content", "form"),
    [
        ("programme/stages.yaml", "number: 1\n", "a list, each entry after a dash"),
        ("programme/flags.yaml", "- gap\n", "entries, each under its name"),
        ("programme/equipment.yaml", "bench: yes\n", "a list of words, each after a dash"),
        ("sources.yaml", "hickey\n", "entries, each under its name"),
    ],
)
def test_wrong_form_is_told(name, content, form, folder):
    (folder / name).write_text(content)
    assert f"dialogs/{name}:1: the file must hold {form}." in map(str, check(folder))
