"""Who takes a claim: the table, part by part.

49 CFR 370.3(a), as quoted in the rules of carriage (text seen): a claim is filed "with
the receiving or delivering carrier, or carrier issuing the bill of lading, or the carrier
on whose line the loss occurred". That a broker is no carrier under 49 U.S.C. 14706 is
from memory.
"""

import pytest

from claims.rules.claim.addressees import (
    BROKER,
    DELIVERING,
    ORIGINATING,
    PARTIES,
    PARTS,
    RECORD,
    UNNAMED,
    not_filed_words,
    part_of,
)


@pytest.mark.parametrize(
    ("key", "takes", "authority"),
    [
        ("record", True, "370.3"),
        ("originating", True, "370.3"),
        ("delivering", True, "370.3"),
        ("broker", False, "14706"),
        ("unnamed", False, "370.3"),
    ],
)
def test_carriers_take_claims_and_nobody_else_does(key, takes, authority):
    assert PARTS[key].takes_claims is takes
    assert authority in PARTS[key].authority
    assert len(PARTIES) == 5


@pytest.mark.parametrize(
    ("named", "broker", "brokers_role", "part"),
    [
        ({RECORD}, False, False, RECORD),
        ({ORIGINATING}, False, False, ORIGINATING),
        ({DELIVERING}, False, False, DELIVERING),
        ({DELIVERING, RECORD}, False, False, RECORD),
        ({RECORD}, True, False, BROKER),
        ({RECORD}, False, True, BROKER),
        ({BROKER}, False, False, UNNAMED),
        (set(), False, False, UNNAMED),
        (set(), True, False, BROKER),
    ],
)
def test_the_part_that_decides_is_the_safe_one(named, broker, brokers_role, part):
    found = part_of(
        is_broker=broker, named=frozenset(named), is_brokers_role=brokers_role
    )

    assert found.key == part


@pytest.mark.parametrize("part", PARTIES, ids=lambda one: one.key)
def test_what_files_no_claim_says_so_with_the_name(part):
    words = not_filed_words(part, "Wren Brokers")

    assert ("Not filed with a carrier" in words) is not part.takes_claims
    assert ("Wren Brokers" in words) is not part.takes_claims
