"""An amount of another currency in the home currency: about, at a rate a person entered.

Such an amount is shown and never posted. It is rounded half up, once, to the cent.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import (
    amount_words,
    format_rate,
    minor_digits,
    round_half_up,
)


@dataclass(frozen=True)
class Rate:
    """What one unit of ``currency`` is in ``home``, of which day, from where, and who."""

    currency: str
    home: str
    rate: Decimal
    on: date
    source: str
    entered_by: str

    def at_home(self, cents: int) -> int:
        """Return minor units of ``currency`` as minor units of ``home``."""
        exact = Fraction(cents) * Fraction(self.rate)
        return round_half_up(exact / 10 ** minor_digits(self.currency), self.home)

    def abroad(self, cents: int) -> int:
        """Return minor units of ``home`` as minor units of ``currency``."""
        exact = Fraction(cents) / Fraction(self.rate)
        return round_half_up(exact / 10 ** minor_digits(self.home), self.currency)

    @property
    def words(self) -> str:
        """Return the rate with its day, its source and who entered it."""
        return (
            f"at the rate of 1 {self.currency} = {format_rate(self.rate)} {self.home} of "
            f"{in_words(self.on)}, {self.source}, entered by {self.entered_by}"
        )


@dataclass(frozen=True)
class About:
    """An amount in the home currency, with each rate that it rests on."""

    cents: int
    home: str
    rates: tuple[Rate, ...]

    @property
    def words(self) -> str:
        """Return "about $73.00, at the rate of ...", never without its rates."""
        said = "; ".join(rate.words for rate in self.rates)
        return f"about {amount_words(self.cents, self.home)}, {said}"
