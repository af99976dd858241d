"""The technician's statement: facts from the record, own words, nothing on the cause."""

from dataclasses import replace

import pytest

from claims.rules.letters.cause_words import CAUSE_WORDS, causes_said
from claims.rules.letters.goods import GoodsFacts, OpenedCrate, PointRead, SeenFinding
from claims.rules.letters.technician import (
    STATEMENT,
    StatementChoices,
    draft_of,
    marks_of,
    numbers_of,
)
from tests.claims.rules.letters.ending_claims import claim_of, without

SEEN = SeenFinding(
    number=2,
    on="TX 48 tiller · ZT5512A",
    what="deck shell, cracked",
    facts="Crack 12 in. long, 2½ in from the left edge",
    stage="at uncrating",
    seen="March 11, 2026, 9:31 AM",
    photos=3,
)
GOODS = GoodsFacts(
    technician="Ito Brandvold",
    findings=(SEEN,),
    opened=(OpenedCrate("Crate 1", "March 11, 2026, 9:05 AM"),),
    readings=(PointRead("TX 48 tiller", "Tire pressure", "not right", "8 psi"),),
)
FACTS = replace(claim_of(1), goods=GOODS)
DRAFT = draft_of(GOODS)


def refused(text, present="Nobody"):
    return " ".join(STATEMENT.against_choices(FACTS, StatementChoices(text, present)))


def test_the_draft_says_what_was_seen_when_and_with_how_many_photos():
    assert DRAFT == (
        "Crate 1 was opened on March 11, 2026, 9:05 AM.\n\n"
        "Finding 2: TX 48 tiller · ZT5512A, deck shell, cracked. Seen at uncrating on "
        "March 11, 2026, 9:31 AM. Crack 12 in. long, 2½ in from the left edge. "
        "3 photos.\n\n"
        "TX 48 tiller, Tire pressure: not right, reading 8 psi."
    )
    assert refused(DRAFT) == ""
    assert marks_of(GOODS, DRAFT) == ()


def test_nobody_states_what_another_recorded():
    assert STATEMENT.against(FACTS) == ()
    nothing = STATEMENT.against(without(FACTS, findings=()))
    assert "You recorded no finding" in nothing[0]
    assert STATEMENT.role == "state-findings"
    assert STATEMENT.to == "ourselves"


SAYS = [(words, row.pattern) for row in CAUSE_WORDS for words in row.says]
ALIKE = [words for row in CAUSE_WORDS for words in row.alike]


@pytest.mark.parametrize(("words", "pattern"), SAYS, ids=[one for one, _ in SAYS])
def test_words_of_cause_are_refused_and_named(words, pattern):
    said = causes_said(words)

    assert said
    assert said[0] in refused(f"{DRAFT} {words}")
    assert causes_said(words.upper()) or "LED" in words.upper()


@pytest.mark.parametrize("words", ALIKE)
def test_words_that_only_look_alike_pass(words):
    assert causes_said(words) == ()
    assert refused(f"{DRAFT} {words}") == ""


def test_every_row_of_the_table_has_words_that_look_alike():
    """The last sample of a row fails if the row alone would let it pass by chance."""
    assert [row.pattern for row in CAUSE_WORDS if not (row.says and row.alike)] == []


@pytest.mark.parametrize(
    "words",
    [
        "Cracked due\nto a blow.",
        "The carrier’s fault.",
        "ｃａｕｓｅｄ by a fork.",
        "cau\u00adsed by a fork.",
    ],
)
def test_a_cause_in_another_dress_is_one(words):
    assert causes_said(words)


def test_a_cause_among_those_who_were_there_is_one_too():
    assert "Take out or reword" in refused(DRAFT, "Sam, who is to blame")


@pytest.mark.parametrize(("text", "present"), [(" ", "Nobody"), (DRAFT, " ")])
def test_a_statement_says_what_and_who(text, present):
    assert "Write Nobody if you were alone." in refused(text, present)


@pytest.mark.parametrize(
    ("words", "same"),
    [
        ("12 in.", ("12 inches", '12"', "12in", "12-inch")),
        ("2½ in", ("2 1/2 in", "2-1/2 inches")),
        ("1,250 lb", ("1250 lbs",)),
        ("9:31 AM", ("9:31 a.m.",)),
    ],
)
def test_a_number_is_the_same_however_it_is_written(words, same):
    for other in same:
        assert numbers_of(other) == numbers_of(words), other


@pytest.mark.parametrize("other", ["12 cm", "12 ft", "1/2 in", "21/2 in", "12 inside"])
def test_another_unit_is_another_number(other):
    assert numbers_of(other) != numbers_of("12 in")


def test_own_words_stand_as_they_are_where_every_number_does():
    own = (
        "I opened crate 1 on March 11, 2026 at 9:05 AM. On TX 48 tiller ZT5512A "
        '(finding 2) at 9:31 AM on March 11, 2026 I saw a crack 12" long, 2 1/2" from '
        "the left edge, and took 3 photos. On the TX 48 I read 8 psi."
    )

    body = STATEMENT.write(FACTS, StatementChoices(own, "Sam Aldous")).body

    assert marks_of(GOODS, own) == ()
    assert own in body
    assert "Who else was there: Sam Aldous." in body
    assert "Compared with the record" not in body


@pytest.mark.parametrize(
    ("old", "new", "lost", "added"),
    [
        ("12 in.", "14 in.", "12 in", "14 in"),
        ("12 in.", "12 cm", "12 in", "12 cm"),
        ("9:31 AM", "noon", "9:31 am", ""),
        ("ZT5512A", "ZT5512B", "zt5512a", "zt5512b"),
        ("3 photos", "photos", "3 photos", ""),
        ("8 psi", "8 psi, then 9 psi", "", "9 psi"),
    ],
)
def test_a_number_that_was_changed_or_left_out_is_marked(old, new, lost, added):
    assert old in DRAFT
    own = DRAFT.replace(old, new)

    marks = marks_of(GOODS, own)
    body = STATEMENT.write(FACTS, StatementChoices(own, "Nobody")).body

    gone = [mark for mark in marks if mark.startswith(f"Not stated above: {lost}. ")]
    more = f"Stated above and not in the record: {added}."
    assert bool(gone) is bool(lost)
    assert (more in marks) is bool(added)
    for mark in marks:
        assert mark in body
