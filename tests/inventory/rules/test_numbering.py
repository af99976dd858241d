"""Each kind of paper has numbers of its own, and goes on from those given before."""

import pytest

from inventory.rules.core.numbering import CLAIM, RETURN, next_number, stems


def test_a_claim_and_a_return_never_bear_the_same_number():
    assert next_number(CLAIM, "QN", 2026, []) == "C-QN-2026-0001"
    assert next_number(RETURN, "QN", 2026, []) == "R-QN-2026-0001"


@pytest.mark.parametrize(
    ("taken", "number"),
    [
        (["QN-2026-0002"], "R-QN-2026-0003"),
        (["QN-2026-0002", "R-QN-2026-0003"], "R-QN-2026-0004"),
        (["R-QN-2026-0009", "QN-2026-0012"], "R-QN-2026-0013"),
        (["R-QN-2026-9999", "R-QN-2026-10000"], "R-QN-2026-10001"),
        (
            ["QN-2026-X", "QF-2026-0040", "R-QF-2026-0040", "QN-2025-0007"],
            "R-QN-2026-0001",
        ),
        (["C-QN-2026-0007"], "R-QN-2026-0001"),
        (["QN-2026-٤٢", "QN-2026-4x"], "R-QN-2026-0001"),
    ],
)
def test_the_next_number_follows_the_highest_of_old_and_new(taken, number):
    assert next_number(RETURN, "QN", 2026, taken) == number


def test_a_new_year_begins_anew():
    assert next_number(CLAIM, "QN", 2027, ["C-QN-2026-0040"]) == "C-QN-2027-0001"


def test_the_longest_number_fits_its_column():
    from claims.models import Claim
    from inventory.models import CrateReturn

    longest = next_number(CLAIM, "ABCDEF", 2026, ["C-ABCDEF-2026-99999"])
    for model in (Claim, CrateReturn):
        assert len(longest) <= model._meta.get_field("number").max_length


def test_no_letter_reads_as_a_docks_code():
    # A code has two to six letters, so "C-..." begins no number from before.
    for kind in (CLAIM, RETURN):
        now, before = stems(kind, "QN", 2026)
        assert len(kind) == 1
        assert now == f"{kind}-{before}"
