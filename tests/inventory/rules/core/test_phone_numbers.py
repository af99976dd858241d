"""What a link dials. RFC 3966 read from memory; the samples are ours."""

import pytest

from inventory.rules.core.text import dialed


@pytest.mark.parametrize(
    ("written", "dials"),
    [
        ("402 555 0147", "tel:4025550147"),
        ("(402) 555-0147", "tel:4025550147"),
        ("+1 402.555.0147", "tel:+14025550147"),
        ("402-555-0147 x12", "tel:4025550147;ext=12"),
        ("402 555 0147, ext. 12", "tel:4025550147;ext=12"),
        ("402\N{EN DASH}555\N{EN DASH}0147", "tel:4025550147"),
        ("911", "tel:911"),
        ("12", ""),
        ("1234567890123456", ""),
        ("0147 or ask Mina", ""),
        ("1+402", ""),
        ("javascript:alert(402)", ""),
        ("x12", ""),
        ("", ""),
    ],
)
def test_a_number_as_people_write_it_is_dialed(written, dials):
    assert dialed(written) == dials
