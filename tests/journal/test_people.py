"""People and small settings are kept, changed, and never mixed up."""

import pytest

from coachbot.journal import Journal, JournalError, Person

ADA = Person("dr-ada", "Ada", "clinician", address="@ada:clinic.example")
SAM = Person("sam", "Sam", "athlete", case="sam-1", address="@sam:home.example")


def test_person_found_by_address(journal: Journal):
    journal.add_person(ADA)
    journal.add_person(SAM)
    assert journal.person("sam") == SAM
    assert journal.person_at("@ada:clinic.example") == ADA
    assert (journal.person("nobody"), journal.person_at("@nobody:x")) == (None, None)


def test_people_listed_by_role(journal: Journal):
    for person in (SAM, ADA, Person("bo", "Bo", "staff")):
        journal.add_person(person)
    assert [person.id for person in journal.people()] == ["bo", "dr-ada", "sam"]
    assert journal.people("clinician") == [ADA]
    assert journal.people("owner") == []


def test_person_changes_in_place(journal: Journal):
    journal.add_person(SAM)
    again = Person("sam", "Sam", "athlete", case="sam-2")
    journal.add_person(again)
    assert journal.people() == [again]
    assert journal.person_at("@sam:home.example") is None


def test_address_of_another_refused(journal: Journal):
    journal.add_person(SAM)
    with pytest.raises(JournalError, match="belongs to another person"):
        journal.add_person(Person("ali", "Ali", "athlete", case="ali-1", address=SAM.address))
    assert journal.people() == [SAM]


def test_people_without_address(journal: Journal):
    journal.add_person(Person("bo", "Bo", "staff"))
    journal.add_person(Person("cy", "Cy", "staff"))
    assert len(journal.people("staff")) == 2


def test_setting_keeps_last_value(journal: Journal):
    assert journal.kept("alive") is None
    journal.keep("alive", "07:00")
    journal.keep("alive", "07:01")
    assert journal.kept("alive") == "07:01"
