"""Messages wait for their courier in order, and are handed out until they are marked."""

from datetime import timedelta

from coachbot.journal import Journal

from .turns import AT, say, turn


def test_unsent_come_in_order(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a"), say("b", "dr-ada")], at=AT)
    journal.append("ali-1", 0, turn("two"), [say("c", "ali")], at=AT - timedelta(days=1))  # a clock set back
    journal.append("sam-1", 3, turn("three"), [say("d")], at=AT)
    assert [message.text for message in journal.unsent(["ali", "sam"])] == ["a", "c", "d"]
    assert [message.text for message in journal.unsent({"dr-ada"})] == ["b"]
    assert journal.unsent([]) == []


def test_sent_messages_leave_outbox(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a"), say("b")], at=AT)
    journal.mark_sent(["sam-1-3-1"], AT)
    assert [message.id for message in journal.unsent(["sam"])] == ["sam-1-3-2"]
    assert [message.sent_at for message in journal.messages("sam-1")] == [AT, None]


def test_first_sending_counts(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a")], at=AT)
    journal.mark_sent(["sam-1-3-1"], AT)
    journal.mark_sent(["sam-1-3-1", "gone-7-1"], AT + timedelta(hours=1))
    assert journal.messages("sam-1")[0].sent_at == AT


def test_dashes_in_case_names(journal: Journal):
    journal.append("sam-7-2", 0, turn("one"), [say("a")], at=AT)
    journal.append("sam-7", 0, turn("two"), [say("b")], at=AT)
    journal.mark_sent(["sam-7-2-3-1"], AT)
    assert [message.id for message in journal.unsent(["sam"])] == ["sam-7-3-1"]


def test_history_of_one_person(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("how is it?"), say("Sam is late", "dr-ada")], at=AT)
    journal.append("sam-1", 3, turn("two"), [say("and now?")], at=AT)
    journal.append("ali-1", 0, turn("two"), [say("other case")], at=AT)
    assert [message.text for message in journal.messages("sam-1", "sam")] == ["how is it?", "and now?"]
    assert len(journal.messages("sam-1")) == 3


def test_many_people_at_once(journal: Journal):
    journal.append("sam-1", 0, turn("one"), [say("a")], at=AT)
    everyone = [f"person-{number}" for number in range(40_000)]  # more than SQLite takes as parameters
    assert [message.text for message in journal.unsent([*everyone, "sam"])] == ["a"]
