"""The desk that a letter goes to is named once, wherever its name was entered."""

import pytest

from claims.queries.letters.notices import claims_desk_lines
from inventory.models import Carrier

STREET = "1900 Relay Street\nDunmarrow, NE 68999"
EMAIL = "claims@pike.example"


@pytest.mark.parametrize(
    ("address", "below", "first"),
    [
        (f"Cargo Claims\n{STREET}", "Pike Hollow, Cargo Claims", "1900 Relay Street"),
        (f"cargo claims \n{STREET}", "Pike Hollow, Cargo Claims", "1900 Relay Street"),
        (STREET, "Pike Hollow, Cargo Claims", "1900 Relay Street"),
        (f"Cargo Claims\n{STREET}", "Ms. Lund, Pike Hollow", "Cargo Claims"),
        (f"Claims Dept.\n{STREET}", "Pike Hollow, Cargo Claims", "Claims Dept."),
        ("", "Pike Hollow, Cargo Claims", EMAIL),
    ],
)
def test_the_claims_desk_is_named_once(address, below, first):
    carrier = Carrier(claims_address=address, claims_email=EMAIL)

    lines = claims_desk_lines(carrier, below=below)

    assert (lines[0], lines[-1]) == (first, EMAIL)
    assert all(lines)
