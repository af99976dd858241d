"""The words for the receipt, as a driver would read them."""

import pytest

from claims.rules.receiving.receipt_words import (
    SHORT_LIMIT,
    CrateLook,
    Damage,
    ReceiptFacts,
    compose_words,
)

FORK = Damage("punctured", "severe", ("side-1",), "fork hole 20 cm")
CRUSH = Damage("crushed", "moderate", ("side-2", "top"))


def facts(*crates, **over):
    values = {
        "pro": "4471",
        "unit": "crate",
        "billed": 4,
        "counted": 4,
        "crates_on_bill": len(crates),
        "crates": crates,
    }
    return ReceiptFacts(**{**values, **over})


def clear(number):
    return CrateLook(number, look="clear")


def words(*crates, **over):
    return compose_words(facts(*crates, **over))


def test_counts_come_first_then_refused_then_exceptions_then_the_rest():
    said = words(
        clear(1),
        CrateLook(2, "HT-002", "exception", (FORK,)),
        CrateLook(3, "", "refused", (CRUSH,), "worthless"),
        counted=3,
    )

    assert said.full.splitlines() == [
        "PRO 4471: 4 crates billed, 3 crates tendered. 1 crate SHORT.",
        "Crate 3 of 3 REFUSED, not worth saving: side 2 and top crushed, moderate.",
        (
            "Crate 2 of 3 (mark HT-002): side 1 (label side) punctured, severe: "
            "fork hole 20 cm."
        ),
        "Other 1 crate: no visible damage.",
    ]


def test_a_clean_truck_says_that_all_agrees():
    said = words(clear(1), clear(2), clear(3), clear(4))

    assert "Count agrees." in said.full
    assert "4 crates: no visible damage." in said.full
    assert not said.has_exceptions
    assert said.short == "4 of 4 crates received"


COUNTS = [
    ({"counted": 5}, "4 crates billed, 5 crates received. 1 crate OVER.", True),
    (
        {"counted": 3, "rest_to_follow": True},
        "Partial delivery, 1 crate to follow.",
        False,
    ),
    (
        {"counted": 1, "earlier": 3},
        "4 crates billed, 3 received earlier, 1 crate received. Count agrees.",
        False,
    ),
    (
        {"counted": 2, "billed": 2, "unit": "skid"},
        "2 skids billed, 2 skids received. Count agrees.",
        False,
    ),
    ({"counted": None}, "Not counted at delivery.", False),
    ({"billed": None}, "4 crates received. Pieces billed not shown to us.", False),
]


@pytest.mark.parametrize(("over", "sentence", "is_exception"), COUNTS)
def test_the_count_is_said_in_the_bills_own_unit(over, sentence, is_exception):
    said = words(**over)

    assert sentence in said.full
    assert said.has_exceptions is is_exception


def test_the_short_form_has_crate_and_damage_first():
    said = words(CrateLook(2, "", "exception", (FORK, CRUSH)), counted=3)

    assert said.short == (
        "CRATE 2 side 1 punctured, side 2+top crushed; SHORT 1 crate "
        "(3 of 4 crates received)"
    )


def test_the_short_form_keeps_its_limit_and_says_what_it_left_out():
    many = [CrateLook(n, "", "exception", (FORK,)) for n in range(1, 21)]

    said = words(*many, billed=20, counted=20)

    assert len(said.short) <= SHORT_LIMIT
    assert said.left_out > 0
    assert f"+{said.left_out} CRATES DAMAGED, SEE LIST" in said.short
    assert said.full.count("punctured") == 20


def test_the_short_form_keeps_refused_and_severe_crates_longest():
    slight = [
        CrateLook(n, "", "exception", (Damage("scratched", "slight", ("side-3",)),))
        for n in range(1, 10)
    ]
    severe = CrateLook(10, "", "exception", (FORK,))
    refused = CrateLook(11, "", "refused", (CRUSH,), "leaking")

    said = words(*slight, severe, refused, billed=11, counted=11)

    assert said.short.startswith(
        "CRATE 11 REFUSED leaking; CRATE 10 side 1 punctured; "
    )


def test_a_tripped_indicator_is_written_without_a_severity():
    tripped = Damage("indicator", "slight", ("side-4",), "serial 88-1")

    said = words(CrateLook(1, "", "exception", (tripped,)))

    assert "side 4 indicator tripped: serial 88-1." in said.full


def test_crates_nobody_looked_at_are_named():
    said = words(clear(1), CrateLook(2), CrateLook(3))

    assert "Crates 2 and 3 not inspected at delivery." in said.full


@pytest.mark.parametrize(
    ("over", "line"),
    [
        (
            {"seal_number": "S-77", "seal_note": "broken on arrival"},
            "Seal S-77: broken on arrival.",
        ),
        ({"seal_number": "S-77"}, "Seal S-77: checked before it was cut."),
        ({"seal_note": "none on the doors"}, "Seal: none on the doors."),
        ({"ending": "refused"}, "Driver refused to sign with these exceptions."),
        (
            {"ending": "unattended"},
            "No driver present. Left with nobody at the dock to receive it.",
        ),
        (
            {"ending": "dropped"},
            "Trailer dropped. No driver present to count, inspect and sign.",
        ),
    ],
)
def test_seal_and_ending_are_the_last_lines(over, line):
    assert words(**over).full.splitlines()[-1] == line


def test_no_words_are_left_general():
    said = words(CrateLook(2, "", "exception", (FORK,)))

    assert "subject to" not in said.full.lower()
