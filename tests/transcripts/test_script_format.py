"""The format of written conversations: what cannot be read is named with its line, and nothing is guessed."""

from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest

from coachbot.channels.script import Conversation, Entry, ScriptError, Told, read, written

FRONT = "---\ntitle: A day\nshows: one morning\nathlete: Sam\nclinician: Dr Lee, Dr Two\nzone: Europe/Berlin\n---\n"
BODY = "\n== Monday 2 March 2026 ==\n\n18:00 Sam: hello\n    to Sam: Hello Sam.\n"


def file(folder: Path, text: str) -> Path:
    path = folder / "talk.txt"
    path.write_text(text, "utf-8")
    return path


def test_entries_are_read(tmp_path):
    talk = read(file(tmp_path, FRONT + BODY + "18:05 (clock)\n18:06 Dr Lee: approve Sam\n"))
    assert talk.entries == (
        Entry(date(2026, 3, 2), time(18, 0), "Sam", "hello"),
        Entry(date(2026, 3, 2), time(18, 5), None, ""),
        Entry(date(2026, 3, 2), time(18, 6), "Dr Lee", "approve Sam"),
    )
    assert talk.clinicians == ("Dr Lee", "Dr Two")


def test_hour_is_local(tmp_path):
    (entry,) = read(file(tmp_path, FRONT + BODY)).entries
    assert entry.at("Europe/Berlin") == datetime(2026, 3, 2, 17, tzinfo=UTC)


def test_words_may_hold_colons(tmp_path):
    talk = read(file(tmp_path, FRONT + BODY + "18:01 Sam: pain: 2, at 7:30\n"))
    assert talk.entries[-1].text == "pain: 2, at 7:30"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (BODY, "the front matter between two lines of --- is missing"),
        ("---\ntitle: x\n", "the front matter between two lines of --- is missing"),
        ("---\n[\n---\n" + BODY, "the front matter is no YAML"),
        (FRONT.replace("zone: Europe/Berlin\n", "") + BODY, "the front matter lacks zone"),
        ("---\njust words\n---\n" + BODY, "the front matter lacks title, shows, athlete, clinician, zone"),
        (FRONT, "nobody says anything"),
        (FRONT + "18:00 Sam: hello\n", "talk.txt:8: not understood: '18:00 Sam: hello'"),
        (FRONT + BODY + "Sam: hello\n", "talk.txt:13: not understood: 'Sam: hello'"),
        (FRONT + BODY + "25:00 Sam: hello\n", "talk.txt:13: not understood"),
        (FRONT + BODY + "== Monday 31 February 2026 ==\n", "talk.txt:13: not understood"),
        (FRONT + BODY + "18:01 Bob: hello\n", "Bob is neither the athlete nor a clinician"),
        (FRONT + BODY + "17:00 Sam: late\n", "'17:00 Sam: late' on 02 March comes after a later entry"),
    ],
)
def test_mistakes_are_named(tmp_path, text, says):
    with pytest.raises(ScriptError) as raised:
        read(file(tmp_path, text))
    assert says in str(raised.value)


def test_missing_file_is_named(tmp_path):
    with pytest.raises(ScriptError, match="cannot be read"):
        read(tmp_path / "nobody.txt")


def test_dates_move_along():
    talk = Conversation({}, (Entry(date(2026, 2, 27), time(8), "Sam", "hurt on 2026-02-25, scan 2026-03-10"),))
    moved = talk.moved(3)
    assert moved.last_day == date(2026, 3, 2)
    assert moved.entries[0].text == "hurt on 2026-02-28, scan 2026-03-13"


def test_written_is_read_again(tmp_path):
    path = file(tmp_path, FRONT + BODY)
    talk = read(path)
    text = written(talk, [(talk.entries[0], [Told("Sam", "Hello Sam.\nWhich leg?")])])
    assert "    to Sam: Hello Sam.\n        Which leg?\n" in text
    assert read(file(tmp_path, text)) == talk


def test_brief_day_hides_replies(tmp_path):
    talk = read(file(tmp_path, FRONT + BODY.replace("2026 ==", "2026, briefly ==")))
    text = written(talk, [(talk.entries[0], [Told("Sam", "Hello Sam.")])])
    assert "Hello Sam." not in text
    assert "2 March 2026, briefly ==" in text
