"""The week in words: seven days with a reason each, what had to give, and none while nothing may be planned."""

import pytest
from course import train
from play import Play

import coachbot
from coachbot import cli, demo
from coachbot.channels import replay as script_player, script


def test_every_day_has_a_reason():
    play = train(Play().approved(), 1, 9)
    lines = play.hear("week").splitlines()
    days = [line for line in lines if ". Why: " in line or ": rest" in line]
    assert len(days) == 7 and all("Why: " in line for line in days)


def test_clashing_wishes_say_what_gave():
    play = train(Play().approved(team="tue, thu", matches="wed, sat"), 1, 9)
    said = play.hear("my week")
    assert "What had to give: " in said and "datetime" not in said
    assert "there is a match on this day" in said


def test_a_hold_has_no_week():
    play = train(Play().approved(), 1, 5)
    play.act("hold to be seen first")
    assert "All training is stopped" in play.hear("week")


def test_no_week_before_training():
    assert "not begun" in Play().approved().hear("week")


def test_asking_changes_nothing():
    play = train(Play().approved(), 1, 9)
    before = play.state
    play.hear("week")
    assert play.kinds() == ["heard"]
    assert play.state.announced == before.announced


def test_the_desk_reads_the_same_week():
    play = train(Play().approved(), 1, 9)
    assert play.act("plan").splitlines()[1:] == play.hear("week").splitlines()[1:]


def run(capsys, monkeypatch, *arguments: str) -> tuple[object, str]:
    monkeypatch.setattr("sys.argv", ["coachbot", *arguments])
    with pytest.raises(SystemExit) as end:
        cli.main()
    said = capsys.readouterr()
    return end.value.code, said.out + said.err


def test_command_prints_the_week(tmp_path, monkeypatch, capsys):
    store, scene = tmp_path / "c.sqlite", script.read(demo.scenes() / "demo.txt")
    coach = coachbot.open(store)
    script_player.play_into(coach, scene)
    coach.journal.close()
    monkeypatch.setattr(cli, "now", lambda: scene.entries[-1].at(scene.front["zone"]))
    code, said = run(capsys, monkeypatch, "--store", str(store), "--as", scene.athlete, "plan")
    assert code == 0 and said.startswith(scene.athlete)
    assert len([line for line in said.splitlines() if "Why: " in line]) == 7


def test_command_names_who_is_unknown(tmp_path, monkeypatch, capsys):
    code, said = run(capsys, monkeypatch, "--store", str(tmp_path / "c.sqlite"), "--as", "Nobody", "plan")
    assert code == 2 and "No such athlete" in said
