"""The text for the receipt, as a driver would read it, in every length."""

import re
from itertools import product

import pytest

from claims.rules.receiving.receipt_counts import PieceCount
from claims.rules.receiving.receipt_lines import Ending, ranges
from claims.rules.receiving.receipt_short import LENGTHS
from claims.rules.receiving.receipt_text import ReceiptFacts, compose_words
from claims.rules.receiving.receipt_words import (
    EMPTY_WORDS,
    CrateLook,
    Damage,
    is_plain,
)
from inventory.rules.core.vocabulary import BILL_ENDINGS, NOT_INSPECTED

FORK = Damage("punctured", "severe", ("side-4",), "fork hole 8 in")
CRUSH = Damage("crushed", "moderate", ("side-1", "top"))


def facts(*crates, **over):
    values = {
        "pro": "4471",
        "unit": "crate",
        "billed": 4,
        "tendered": 4,
        "crates_on_bill": len(crates),
        "crates": crates,
    }
    return ReceiptFacts(**{**values, **over})


def clear(*numbers):
    return tuple(CrateLook(number, look="clear") for number in numbers)


def words(*crates, **over):
    return compose_words(facts(*crates, **over))


def texts(said):
    return {len(said.full): said.full} | {n: cut.text for n, cut in said.cuts.items()}


# -- every combination ------------------------------------------------------------

WRITTEN = {
    "billed": r"(\d+) bill(?:ed)?\b",
    "earlier": r"(\d+) (?:received earlier|earlier|prev)\b",
    "tendered": r"(\d+) tend(?:ered)?\b",
    "received": r"(\d+) (?:received(?! earlier)|rec'd|recd)(?!\w)",
    "refused": r"(\d+) ref(?:used)?\b",
    "over": r"(\d+) over\b",
    "short": r"(\d+) short\b",
    "follow": r"(\d+) (?:to follow|later)\b",
}


def figures(text):
    """Return the figures of the count, as a reader finds them in the text."""
    found = {}
    for name, pattern in WRITTEN.items():
        numbers = set(re.findall(pattern, text))
        assert len(numbers) <= 1, f"{name} twice: {text}"
        if numbers:
            found[name] = int(numbers.pop())
    return found


def load(*, short, over, damaged, refused, unseen, second):
    """Return one bill of ten crates with this many of each, on a first or second truck."""
    tendered = 10 - short + over
    looks = (
        [("refused", (CRUSH,), "worthless")] * refused
        + [("exception", (FORK,), "")] * damaged
        + [("", (), "")] * unseen
    )
    looks += [("clear", (), "")] * (tendered - len(looks))
    crates = tuple(
        CrateLook(n, f"HT-{n:03}", look, damages, why)
        for n, (look, damages, why) in enumerate(looks, start=1)
    )
    return facts(
        *crates,
        billed=10 + 4 * second,
        earlier=4 * second,
        tendered=tendered,
        crates_on_bill=len(crates) + 4 * second,
        unseen_reason="no-wait",
        ending=Ending("refused", "Rosa Tellow", "10:42 AM"),
        on_trailer=True,
        shippers_count=True,
        seal_number="S-77",
        seal_condition="intact",
    )


COMBINATIONS = [
    dict(
        zip(
            ("short", "over", "damaged", "refused", "unseen", "second"),
            one,
            strict=True,
        )
    )
    for one in product((0, 1, 3), (0, 2), (0, 1, 2), (0, 1, 2), (0, 1, 4), (0, 1))
    if not (one[0] and one[1])
]


@pytest.mark.parametrize("case", COMBINATIONS, ids=str)
def test_no_text_contradicts_itself_or_the_facts(case):
    given = load(**case)
    said = compose_words(given)
    true = {
        "billed": 10 + 4 * case["second"],
        "earlier": 4 * case["second"],
        "tendered": 10 - case["short"] + case["over"],
        "refused": case["refused"],
        "over": case["over"],
        "short": case["short"],
    }
    true["received"] = true["tendered"] - true["refused"]

    assert (
        true["billed"] + true["over"] - true["short"]
        == true["earlier"] + true["tendered"]
        == true["earlier"] + true["received"] + true["refused"]
    )
    for text in texts(said).values():
        for name, number in figures(text.partition("Handling")[0]).items():
            assert number == true[name], text
        for word in EMPTY_WORDS:
            assert word not in text.lower()
    whole = figures(said.full)
    assert whole == {
        name: number
        for name, number in true.items()
        if number or name in {"billed", "tendered", "received"}
    }
    assert ("Count agrees" in said.full) is (not case["short"] and not case["over"])


@pytest.mark.parametrize("case", COMBINATIONS, ids=str)
def test_every_length_holds_and_what_it_lacks_is_listed(case):
    said = compose_words(load(**case))

    for limit, cut in said.cuts.items():
        lost = " | ".join(cut.left_out)
        assert 0 < len(cut.text) <= limit
        named = set(re.findall(r"CRATE (\d+)", cut.text))
        for n in range(1, case["refused"] + case["damaged"] + 1):
            refused = n <= case["refused"]
            what = f"crate {n} refused" if refused else f"crate {n} damage"
            assert (str(n) in named) is (what not in lost), (cut.text, lost)
            has_note = not refused and "fork hole" in cut.text
            if not refused and cut.text.count("fork hole") < case["damaged"]:
                assert "your note on" in lost or has_note
        if case["unseen"]:
            assert "no-wait" not in cut.text
            has_why = "driver would not wait, left 10:42 AM" in cut.text
            assert has_why is not ("inspected" in lost), (cut.text, lost)
        for words_, lost_ in (
            ("S-77 intact", "seal S-77"),
            ("Shipper's load and count", "shipper's load and count"),
            ("refused to sign", "how the receipt ended"),
            ("no visible damage", "without visible damage"),
        ):
            is_there = words_ in cut.text
            is_in_full = words_ in said.full
            assert is_there is (is_in_full and lost_ not in lost), (cut.text, lost)
        seen = figures(cut.text)
        for name in figures(said.full):
            dropped = re.search(WRITTEN[name], lost)
            implied = name == "tendered" and not case["refused"]
            assert name in seen or dropped or implied, (cut.text, lost)


@pytest.mark.parametrize("limit", LENGTHS)
def test_a_refused_crate_is_said_in_every_length(limit):
    said = words(
        CrateLook(1, look="refused", damages=(CRUSH,), refused_for="worthless"),
        *clear(*range(2, 11)),
        billed=10,
        tendered=10,
    )

    assert "10 billed, 10 tendered, 9 received, 1 refused" in said.full
    expected = (
        "10 billed 10 tendered 9 rec'd 1 refused"
        if limit == 40
        else "10 billed, 10 tendered, 9 received, 1 refused"
    )
    assert expected in said.cuts[limit].text


@pytest.mark.parametrize("limit", LENGTHS)
def test_a_short_text_never_hides_that_crates_are_damaged(limit):
    many = [CrateLook(n, "", "exception", (FORK,)) for n in range(1, 10)]
    gone = CrateLook(10, look="refused", damages=(CRUSH,), refused_for="unsafe")

    cut = words(*many, gone, billed=10, tendered=10).cuts[limit]

    named = len(re.findall(r"CRATE \d+ side", cut.text))
    flag = re.search(r"(\d+) DAMAGED", cut.text)
    assert flag
    assert named + int(flag.group(1)) == 9


# -- sentence by sentence -----------------------------------------------------------


def test_counts_come_first_then_refused_then_exceptions_then_the_rest():
    said = words(
        *clear(1),
        CrateLook(2, "HT-002", "exception", (FORK,)),
        CrateLook(3, "", "refused", (CRUSH,), "worthless"),
        tendered=3,
    )

    assert said.full.splitlines() == [
        "PRO 4471, crates: 4 billed, 3 tendered, 2 received, 1 refused, 1 short.",
        (
            "Crate 3 of 3 REFUSED, practically worthless: side 1 (label side) and top "
            "crushed, moderate."
        ),
        "Crate 2 of 3 (mark HT-002): side 4 punctured, severe: fork hole 8 in.",
        "Other crate: no visible damage.",
    ]


def test_a_clean_truck_says_that_all_agrees():
    said = words(*clear(1, 2, 3, 4))

    assert said.full.splitlines() == [
        "PRO 4471, crates: 4 billed, 4 tendered, 4 received. Count agrees.",
        "4 crates: no visible damage.",
    ]
    assert not said.has_exceptions


COUNTS = [
    (
        {"tendered": 5},
        "4 billed, 5 tendered, 5 received, 1 over, held for carrier.",
        True,
    ),
    ({"tendered": 3}, "4 billed, 3 tendered, 3 received, 1 short.", True),
    (
        {"tendered": 3, "rest_to_follow": True},
        "4 billed, 3 tendered, 3 received, 1 to follow.",
        False,
    ),
    (
        {"tendered": 2, "earlier": 2},
        "4 billed, 2 received earlier, 2 tendered, 2 received. Count agrees.",
        False,
    ),
    (
        {"tendered": 2, "earlier": 2, "earlier_refused": 1},
        "4 billed, 1 received earlier, 1 refused earlier, 2 tendered, 2 received.",
        False,
    ),
    (
        {"tendered": 2, "earlier": None},
        "4 billed, earlier truck not counted, 2 tendered, 2 received.",
        False,
    ),
    (
        {"tendered": 2, "billed": 2, "unit": "skid"},
        "skids: 2 billed, 2 tendered",
        False,
    ),
    ({"tendered": None}, "PRO 4471, crates: 4 billed, not counted.", False),
    ({"billed": None}, "pieces billed not shown, 4 tendered, 4 received.", False),
]


@pytest.mark.parametrize(("over", "sentence", "is_exception"), COUNTS)
def test_the_count_is_said_in_the_bills_own_unit(over, sentence, is_exception):
    said = words(**over)

    assert sentence in said.full
    assert said.has_exceptions is is_exception
    agrees = sentence.endswith("agrees.") or over.get("unit") == "skid"
    agrees = agrees or "earlier_refused" in over
    assert ("Count agrees" in said.full) is agrees


def test_a_refused_crate_is_no_refused_skid():
    gone = CrateLook(3, look="refused", damages=(CRUSH,), refused_for="not-ours")

    head = words(*clear(1), gone, unit="skid").full.splitlines()[0]

    assert (
        head == "PRO 4471, skids: 4 billed, 4 tendered, 1 crate refused. Count agrees."
    )


def test_a_piece_over_that_was_refused_is_not_held():
    gone = CrateLook(5, look="refused", refused_for="not-ours", is_over=True)

    said = words(*clear(1, 2, 3, 4), gone, tendered=5)

    assert "5 tendered, 4 received, 1 refused, 1 over." in said.full
    assert "held" not in said.full


def test_of_two_pieces_over_the_one_here_is_held():
    kept = CrateLook(5, look="clear", is_over=True)
    gone = CrateLook(6, look="refused", refused_for="not-ours", is_over=True)

    said = words(*clear(1, 2, 3, 4), kept, gone, tendered=6)

    assert "2 over, 1 held for carrier" in said.full


@pytest.mark.parametrize("reason", NOT_INSPECTED)
def test_crates_nobody_inspected_are_named_with_the_reason(reason):
    crates = (*clear(*range(1, 5)), *(CrateLook(n) for n in range(5, 9)))

    said = words(
        *crates,
        billed=8,
        tendered=8,
        unseen_reason=reason,
        ending=Ending(left_at="10:42 AM"),
    )

    left = ", left 10:42 AM" if reason == "no-wait" else ""
    line = f"Crates 5-8 not inspected, {NOT_INSPECTED[reason]}{left}."
    assert line in said.full.splitlines()


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([3], "3"),
        ([3, 4], "3 and 4"),
        ([5, 6, 7, 8], "5-8"),
        ([1, 5, 6, 7, 9], "1, 5-7 and 9"),
    ],
)
def test_numbers_that_follow_each_other_are_a_range(numbers, said):
    assert ranges(numbers) == said


def test_a_crate_that_never_came_is_not_called_uninspected():
    said = words(*clear(1, 2, 3), CrateLook(4), tendered=3)

    assert "Crate 4 not tendered." in said.full
    assert "inspected" not in said.full


def test_of_crates_not_seen_some_may_never_have_come():
    said = words(*clear(1, 2), CrateLook(3), CrateLook(4), tendered=3)

    assert "Crates 3 and 4: 1 not tendered, 1 not inspected." in said.full


def test_crates_counted_and_never_listed_were_not_inspected():
    assert "3 crates, not listed, not inspected." in words(*clear(1)).full


def test_handling_units_stand_beside_the_pieces():
    skids = PieceCount("skid", billed=2, tendered=1)

    said = words(*clear(1, 2, 3, 4), handling=skids)

    assert said.full.splitlines()[1] == (
        "Handling units, skids: 2 billed, 1 tendered, 1 received, 1 short."
    )
    assert said.has_exceptions


@pytest.mark.parametrize(
    ("over", "line"),
    [
        (
            {"seal_number": "S-77", "seal_condition": "intact"},
            "Seal S-77 intact before the doors were opened.",
        ),
        (
            {"seal_number": "S-77", "seal_condition": "broken", "seal_note": "cut"},
            "Seal S-77 broken before the doors were opened. cut.",
        ),
        (
            {"seal_number": "S-77", "seal_condition": "differs"},
            "Seal S-77: the number differs from the bill.",
        ),
        ({"seal_condition": "none"}, "No seal on the doors."),
        ({"seal_number": "S-77"}, "Seal S-77."),
        ({"seal_note": "none on the doors"}, "Seal: none on the doors."),
        ({"shippers_count": True}, "Shipper's load and count."),
    ],
)
def test_seal_and_shippers_count_are_facts_of_their_own(over, line):
    assert words(**over).full.splitlines()[-1] == line


def test_damage_on_the_trailer_is_said_only_where_there_is_damage():
    line = "Damage seen on the trailer, before it was moved."
    hurt = CrateLook(2, "", "exception", (FORK,))

    assert line in words(*clear(1), hurt, on_trailer=True).full
    assert line not in words(*clear(1, 2), on_trailer=True).full


def test_each_ending_has_its_own_sentence():
    said = {
        how: words(
            *clear(1, 2, 3, 4), ending=Ending(how, "Rosa Tellow", "10:42 AM")
        ).full.splitlines()[-1]
        for how in BILL_ENDINGS
    }

    assert said == {
        "signed": "4 crates: no visible damage.",
        "handheld": "Driver signed on the handheld. It took no exceptions.",
        "bare": "Driver signed a receipt without this text.",
        "refused": "Driver refused to sign. Witness: Rosa Tellow.",
        "no-wait": "Driver would not wait to sign. Left 10:42 AM.",
        "dropped": "No driver present to count, inspect or sign.",
    }


def test_the_worst_crate_is_the_last_to_go():
    slight = [
        CrateLook(n, "", "exception", (Damage("scratched", "slight", ("side-3",)),))
        for n in range(1, 10)
    ]
    severe = CrateLook(10, "", "exception", (FORK,))

    said = words(*slight, severe, billed=10, tendered=10)

    assert said.cuts[40].text.startswith("CRATE 10 side 4 punctured")


def test_a_tripped_indicator_is_written_without_a_severity():
    tripped = Damage("indicator", "slight", ("side-4",), "serial 88-1")

    said = words(CrateLook(1, "", "exception", (tripped,)))

    assert "side 4 indicator tripped: serial 88-1." in said.full


@pytest.mark.parametrize(
    "note", ["Subject to inspection", "accepted as is", "said to contain 4"]
)
def test_a_note_that_says_nothing_is_left_out_and_named(note):
    crate = CrateLook(2, "", "exception", (Damage("dented", "slight", ("top",), note),))

    said = words(crate, seal_note=note)

    for text in texts(said).values():
        assert note.lower() not in text.lower()
    named = (f'your note on crate 2 ("{note}")', f'your note on the seal ("{note}")')
    assert said.left_out == named
    assert all(cut.left_out[-2:] == named for cut in said.cuts.values())


def test_more_inspected_than_counted_is_a_problem_to_solve_first():
    assert facts(*clear(1, 2, 3, 4), tendered=3).problem == (
        "PRO 4471: 3 crates counted, but 4 inspected. Count them again."
    )
    assert not facts(*clear(1, 2, 3), CrateLook(4), tendered=3).problem
    assert not facts(*clear(1, 2, 3, 4), tendered=3, unit="skid").problem


def test_numbers_beyond_reason_still_hold_the_length():
    vast = 2_000_000_000

    said = words(
        CrateLook(1, look="refused", refused_for="unsafe"),
        billed=vast,
        tendered=vast - 5,
        earlier=3,
        crates_on_bill=1,
    )

    assert all(len(cut.text) <= limit for limit, cut in said.cuts.items())


@pytest.mark.parametrize(
    ("over", "head"),
    [
        ({"tendered": 2, "earlier": 2}, "4 billed, 2 earlier, 2 counted"),
        ({"tendered": None, "billed": 6}, "6 billed, not counted"),
        ({"billed": None}, "4 counted"),
        ({}, "4 billed, 4 counted"),
    ],
)
def test_the_head_of_a_bill_is_of_this_truck(over, head):
    assert facts(**over).count.head == head


@pytest.mark.parametrize(
    ("facts", "plain"),
    [
        ("Crate side 4 wrap torn, minor.", True),
        ("Crate side 4 film or wrap torn, slight.", True),
        ("Crate side 4 wrap torn, minor, by a fork.", False),
    ],
)
def test_plain_facts_are_known_in_the_labels_they_were_stored_under(facts, plain):
    assert is_plain(facts, Damage("torn", "slight", ("side-4",))) is plain
