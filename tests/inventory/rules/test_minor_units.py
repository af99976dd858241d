"""The digits of each currency: ISO 4217's, and where books were kept with others.

Source: ISO 4217 list one, published 2026-01-01, as the package iso4217 carries it.
"""

import pytest
from iso4217 import Currency

from inventory.rules.reckoning.money import KEPT_DIGITS, minor_digits

# What stood here before the list was read: from memory, two where nothing is said.
FORMER = {
    "BHD": 3,
    "CLP": 0,
    "ISK": 0,
    "JOD": 3,
    "JPY": 0,
    "KRW": 0,
    "KWD": 3,
    "OMR": 3,
    "TND": 3,
    "VND": 0,
    "XAF": 0,
    "XOF": 0,
}
# Every listed currency whose digits were others here: by the list, and as kept.
DIFFERENT = {
    "BIF": (0, 2),
    "CLF": (4, 2),
    "DJF": (0, 2),
    "GNF": (0, 2),
    "IQD": (3, 2),
    "KMF": (0, 2),
    "LYD": (3, 2),
    "PYG": (0, 2),
    "RWF": (0, 2),
    "UGX": (0, 2),
    "UYI": (0, 2),
    "UYW": (4, 2),
    "VUV": (0, 2),
    "XPF": (0, 2),
}
# Listed with "N.A.": metals, units of account, testing. Two digits, as before.
WITHOUT_DIGITS = {
    *("XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR"),
    *("XPD", "XPT", "XSU", "XTS", "XUA", "XXX"),
}
CODES = sorted({currency.code for currency in Currency})


def test_the_list_differs_from_the_former_table_in_these_and_no_other():
    found = {
        code: (Currency(code).exponent, FORMER.get(code, 2))
        for code in CODES
        if Currency(code).exponent not in {None, FORMER.get(code, 2)}
    }

    assert found == DIFFERENT


def test_these_have_no_digits_in_the_list():
    assert {c for c in CODES if Currency(c).exponent is None} == WITHOUT_DIGITS


@pytest.mark.parametrize("code", [*CODES, "ZZZ"])
def test_a_currency_in_a_book_keeps_its_digits(code):
    assert minor_digits(code) == FORMER.get(code, 2)


def test_what_is_kept_is_what_differs():
    assert {code: kept for code, (_, kept) in DIFFERENT.items()} == KEPT_DIGITS


def test_a_currency_that_is_kept_nowhere_has_the_digits_of_the_list(monkeypatch):
    monkeypatch.setitem(KEPT_DIGITS, "USD", 4)
    assert minor_digits("USD") == 4
    monkeypatch.delitem(KEPT_DIGITS, "UGX")
    assert minor_digits("UGX") == 0
    assert minor_digits("KWD") == 3
