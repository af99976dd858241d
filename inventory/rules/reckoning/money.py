"""Money: whole minor units of one currency; decimals only while calculating.

Amounts are kept as integers ("cents", whatever the currency calls them) with a
currency code. Rounding is half up, once, where an amount is posted.
How many digits a currency has is read from ISO 4217, list one, as the ``iso4217``
package carries it; a display list such as CLDR's has other digits and is not used.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import cache

KEPT_DIGITS = dict.fromkeys(
    (
        *("BIF", "CLF", "DJF", "GNF", "IQD", "KMF", "LYD", "PYG"),
        *("RWF", "UGX", "UYI", "UYW", "VUV", "XPF"),
    ),
    2,
)
"""Currencies whose digits are not those of ISO 4217, and stay so.

Books were kept in them with two digits before the list was read. An amount is a whole
number that does not say how many digits it has, so another number of digits would
make old amounts a hundred times larger or ten times smaller. When the list changes the
digits of a currency, its former digits are added here.
"""

LARGEST = 10**15
"""The largest amount allowed, in minor units: enough for any claim."""

_CODE = re.compile(r"[A-Z]{3}")
_AMOUNT = re.compile(r"(-?)((?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)?)(?:\.([0-9]+))?")
_WIDE = Context(prec=60)
_EXAMPLE = "Enter it like 1,234.50."


class MoneyError(ValueError):
    """A text or a number is not an amount of money; the message is one sentence."""


def check_currency(code: str) -> str:
    """Return ``code`` if it has the form of a currency code (ISO 4217).

    Raise MoneyError otherwise.
    """
    if not _CODE.fullmatch(code):
        raise MoneyError("A currency is three capital letters, such as USD.")
    return code


def minor_digits(currency: str) -> int:
    """Return the number of digits after the point in ``currency``."""
    code = check_currency(currency)
    return KEPT_DIGITS[code] if code in KEPT_DIGITS else _listed_digits(code)


@cache
def _listed_digits(code: str) -> int:
    """Return the digits by ISO 4217; two for a code not listed, or without digits."""
    from iso4217 import Currency  # noqa: PLC0415 - reads a table of 180 currencies

    try:
        digits = Currency(code).exponent
    except ValueError:
        return 2
    return 2 if digits is None else digits


def to_decimal(cents: int, currency: str) -> Decimal:
    """Return minor units as an amount in major units: 123450 is 1234.50."""
    return Decimal(cents).scaleb(-minor_digits(currency), context=_WIDE)


def to_cents(amount: Decimal, currency: str) -> int:
    """Return an amount in major units as whole minor units, exactly.

    Raise MoneyError for fractions of a cent, for what is not a number, and for
    amounts that are too large.
    """
    if not amount.is_finite():
        raise MoneyError(f"That is not an amount. {_EXAMPLE}")
    if abs(amount) >= LARGEST:
        raise MoneyError("That amount is too large. Check the number of digits.")
    scaled = amount.scaleb(minor_digits(currency), context=_WIDE)
    if scaled != scaled.to_integral_value():
        raise MoneyError(_too_fine(currency))
    if abs(scaled) > LARGEST:
        raise MoneyError("That amount is too large. Check the number of digits.")
    return int(scaled)


def _too_fine(currency: str) -> str:
    digits = minor_digits(currency)
    if digits == 0:
        return f"{currency} has no decimals. Enter a whole amount."
    if digits == 2:
        return "That has fractions of a cent. Enter two digits after the point."
    return f"{currency} has {digits} digits after the point. Enter no more than that."


def round_half_up(amount: Decimal | Fraction, currency: str) -> int:
    """Return an amount in major units as minor units, halves away from zero."""
    exact = Fraction(amount) * 10 ** minor_digits(currency)
    return round_fraction(exact)


def round_fraction(exact: Fraction | Decimal) -> int:
    """Return the nearest whole number, halves away from zero."""
    value = Fraction(exact)
    whole = (abs(value.numerator) * 2 + value.denominator) // (value.denominator * 2)
    return -whole if value < 0 else whole


def parse_amount(text: str, currency: str, *, may_be_negative: bool = False) -> int:
    """Return what a person typed, in minor units.

    Thousands may be set off with commas; the currency's own code may stand
    before or after. Raise MoneyError with a sentence that can be shown.
    """
    bare = _without_code(text.strip(), check_currency(currency))
    if not bare:
        raise MoneyError(f"Enter an amount. {_EXAMPLE}")
    if len(bare) > 24:
        raise MoneyError("That amount is too long. Check the number of digits.")
    found = _AMOUNT.fullmatch(bare)
    if found is None or not (found[2] or found[3]):
        raise MoneyError(f"That is not an amount. {_EXAMPLE}")
    cents = to_cents(Decimal(bare.replace(",", "")), currency)
    if cents < 0 and not may_be_negative:
        raise MoneyError("The amount cannot be less than zero.")
    return cents


def _without_code(text: str, currency: str) -> str:
    for mark in (currency, "$" if currency in {"USD", "CAD"} else currency):
        text = text.removeprefix(mark).removesuffix(mark).strip()
    return text


def format_cents(cents: int, currency: str, *, code: bool = False) -> str:
    """Return minor units as people read them: "1,234.50", or "USD 1,234.50"."""
    figure = f"{to_decimal(cents, currency):,f}"
    return f"{currency} {figure}" if code else figure


def plain_cents(cents: int, currency: str) -> str:
    """Return minor units for machines: "1234.50", never fewer than two places."""
    amount = to_decimal(cents, currency)
    return f"{amount:.{max(2, minor_digits(currency))}f}"


def largest_first(cents: int, currency: str, home: str) -> tuple[bool, str, int]:
    """Return a key for sorting: the home currency first, in each the largest first.

    Amounts of two currencies are never compared.
    """
    return currency != home, currency, -cents


def home_first(currencies: Iterable[str], homes: Collection[str]) -> list[str]:
    """Return these currencies once each: those of the locations first, then by code."""
    return sorted(set(currencies), key=lambda one: (one not in homes, one))


def two_places(amount: Decimal | Fraction) -> str:
    """Return an amount of no named currency, half up: "1234.50"."""
    hundredths = round_fraction(Fraction(amount) * 100)
    return f"{Decimal(hundredths).scaleb(-2, context=_WIDE):.2f}"


def format_rate(rate: Decimal) -> str:
    """Return a rate with at least two places and no trailing zeros beyond them."""
    exact = rate.normalize(_WIDE)
    exponent = exact.as_tuple().exponent
    places = max(2, -exponent) if isinstance(exponent, int) else 2
    return f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, _WIDE):,f}"


def allocate(total: int, weights: Sequence[int | Decimal | Fraction]) -> list[int]:
    """Split ``total`` minor units in the ratio of ``weights``, to the cent.

    Largest remainder: each part is cut down to whole cents, and the cents left
    over go to the largest remainders, the earlier part first among equals. The
    parts add up to ``total``. Raise ValueError for no weight, or one below zero.
    """
    shares = [Fraction(weight) for weight in weights]
    whole = sum(shares, Fraction(0))
    if whole <= 0 or min(shares) < 0:
        raise ValueError("Weights must not be negative and not all be zero.")
    if total < 0:
        return [-part for part in allocate(-total, shares)]
    exact = [total * share / whole for share in shares]
    parts = [value.numerator // value.denominator for value in exact]
    left = total - sum(parts)
    by_remainder = sorted(
        range(len(parts)), key=lambda place: (parts[place] - exact[place], place)
    )
    for place in by_remainder[:left]:
        parts[place] += 1
    return parts


@dataclass(frozen=True, order=False)
class Money:
    """An amount of one currency, in whole minor units. Currencies never mix."""

    cents: int
    currency: str

    def __post_init__(self) -> None:
        """Raise MoneyError for anything but whole cents of a named currency."""
        check_currency(self.currency)
        if type(self.cents) is not int:
            raise MoneyError("Money must be in whole cents.")

    @classmethod
    def of(cls, amount: Decimal, currency: str) -> "Money":
        """Return an amount in major units; MoneyError for parts of a cent."""
        return cls(to_cents(amount, currency), currency)

    @classmethod
    def typed(cls, text: str, currency: str) -> "Money":
        """Return what a person typed; MoneyError with a sentence to show."""
        return cls(parse_amount(text, currency), currency)

    @property
    def amount(self) -> Decimal:
        """Return the amount in major units."""
        return to_decimal(self.cents, self.currency)

    def _same(self, other: "Money") -> int:
        if other.currency != self.currency:
            raise MoneyError(
                f"{self.currency} and {other.currency} cannot be added or compared."
            )
        return other.cents

    def __add__(self, other: "Money") -> "Money":
        return Money(self.cents + self._same(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.cents - self._same(other), self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.cents, self.currency)

    def __lt__(self, other: "Money") -> bool:
        return self.cents < self._same(other)

    def __le__(self, other: "Money") -> bool:
        return self.cents <= self._same(other)

    def times(self, rate: Decimal | Fraction | int) -> "Money":
        """Return the amount times a rate, rounded half up to the cent."""
        exact = Fraction(rate) * self.cents
        return Money(round_fraction(exact), self.currency)

    def split(self, weights: Sequence[int | Decimal | Fraction]) -> "list[Money]":
        """Return parts in the ratio of ``weights`` that add up to the cent."""
        return [Money(part, self.currency) for part in allocate(self.cents, weights)]

    def __str__(self) -> str:
        return format_cents(self.cents, self.currency, code=True)


def amount_words(cents: int, currency: str) -> str:
    """Write an amount as people read it: 123456 -> "$1,234.56".

    Currencies other than US dollars are written with their code.
    """
    sign = "\N{MINUS SIGN}" if cents < 0 else ""
    amount = format_cents(abs(cents), currency)
    code = code_beside(currency)
    return f"{sign}{amount} {code}" if code else f"{sign}${amount}"


def code_beside(currency: str) -> str:
    """Return the code to write beside an amount; none for US dollars, which have a sign."""
    return "" if currency == "USD" else currency
