"""The input of the measure of damages, and the steps of its result.

All amounts are whole minor units ("cents") of one currency; masses are as stated.
"""

from dataclasses import dataclass

from inventory.rules.reckoning.measures import Mass

OUTCOMES = ("total", "repair", "as-is", "short")
BASES = ("destination", "invoice")


class DamagesError(ValueError):
    """The lines do not make a worksheet; the message is one sentence."""


@dataclass(frozen=True)
class LossLine:
    """One loss. Lines that name the same ``article`` are one machine.

    ``value_cents`` is the market or invoice value of the whole article, by the
    basis; on a short line with others, that of the missing part.
    ``repair_cents`` is the price of this repair. ``salvage_cents`` is what the
    damaged article is worth as is, ``proceeds_cents`` what it was sold for;
    both belong to the article and are stated once, or the same on every line.
    ``mass`` is that of the complete article. ``mitigation_cents`` is money spent to
    keep the loss down, ``recovered_cents`` what was already recovered for it, a
    supplier's free parts or labor included.
    """

    label: str
    outcome: str
    value_cents: int
    article: str = ""
    repair_cents: int = 0
    salvage_cents: int = 0
    proceeds_cents: int = 0
    mass: Mass | None = None
    mitigation_cents: int = 0
    recovered_cents: int = 0

    def __post_init__(self) -> None:
        """Raise DamagesError for an unknown outcome or an amount below zero."""
        if self.outcome not in OUTCOMES:
            raise DamagesError(f"{self.label}: unknown outcome.")
        amounts = (
            self.value_cents,
            self.repair_cents,
            self.salvage_cents,
            self.proceeds_cents,
            self.mitigation_cents,
            self.recovered_cents,
        )
        if min(amounts) < 0:
            raise DamagesError(f"{self.label}: an amount is less than zero.")


@dataclass(frozen=True)
class Freight:
    """The freight that the claimant paid, and the weight it was paid for.

    Freight that the supplier paid and did not bill on is not ours: leave it out.
    Without ``total_mass`` the lines are taken to be the whole shipment.
    """

    borne_cents: int
    total_mass: Mass | None = None

    def __post_init__(self) -> None:
        """Raise DamagesError for freight below zero."""
        if self.borne_cents < 0:
            raise DamagesError("The freight is less than zero.")


@dataclass(frozen=True)
class Step:
    """One step of the worksheet; ``cents`` is None where it states no amount."""

    text: str
    cents: int | None = None
    is_total: bool = False
