"""Who bears the loss: the delivery terms decide, and how the goods were sent."""

from dataclasses import dataclass

from inventory.rules.core.text import capital

TERMS = ("origin", "destination", "unknown")
ANSWERS = ("accepted", "accepted-with-exceptions", "rejected", "not-delivered")


@dataclass(frozen=True)
class Reason:
    """One step of the reasoning: words, authority, how sure we are of it."""

    text: str
    authority: str = ""
    confidence: str = ""


@dataclass(frozen=True)
class ClaimantFacts:
    """The facts that decide the claimant, as stored.

    ``delivery_terms`` is one of TERMS, ``answer`` one of ANSWERS,
    ``freight_payer`` a key of the shipment. ``supplier_files_when_prepaid``
    is the supplier's own term. ``shipped_wrong`` means that the goods did not
    conform when they left, ``badly_sent`` that the supplier arranged the
    carriage unreasonably or concealed it. ``regime`` "private" is the
    supplier's own truck.
    """

    delivery_terms: str = "unknown"
    answer: str = "accepted-with-exceptions"
    freight_payer: str = "unknown"
    supplier_files_when_prepaid: bool = False
    needs_return_authorization: bool = False
    shipped_wrong: bool = False
    badly_sent: bool = False
    regime: str = "us-motor"
    supplier: str = "the supplier"


def risk_of(facts: ClaimantFacts) -> tuple[str, tuple[Reason, ...]]:
    """Return who bears the risk ("us", "supplier", "unknown"), with the reasoning."""
    who = facts.supplier
    if facts.regime == "private":
        return "supplier", (
            Reason(
                f"{capital(who)} delivered the goods on its own truck. No carrier "
                "had them, so the risk stayed with the supplier until delivery here.",
                "UCC 2-509(3)",
                "from memory",
            ),
        )
    if facts.delivery_terms == "origin":
        return _risk_at_origin(facts)
    if facts.delivery_terms == "destination":
        return "supplier", (
            Reason(
                "FOB destination: the risk is the supplier's until the goods are "
                "tendered here so that we can take delivery.",
                "UCC 2-319(1)(b), 2-509(1)(b)",
                "text seen",
            ),
        )
    return "unknown", (
        Reason(
            "The delivery terms are not known. Check the order or the supplier's "
            "invoice for FOB or the place where the risk passes."
        ),
    )


def _risk_at_origin(facts: ClaimantFacts) -> tuple[str, tuple[Reason, ...]]:
    rule = Reason(
        "FOB origin: the risk became ours when the carrier got the goods.",
        "UCC 2-319(1)(a), 2-509(1)(a)",
        "text seen",
    )
    if facts.shipped_wrong and facts.answer != "accepted":
        return "supplier", (
            rule,
            Reason(
                "But the goods were not as ordered when they left. So the risk "
                "stays with the supplier until it cures that or we accept.",
                "UCC 2-510(1)",
                "text seen",
            ),
        )
    return "us", (
        rule,
        Reason(
            "We must still pay for goods that were right when shipped and damaged "
            "in transit. Sending them back to the supplier is no remedy.",
            "UCC 2-709(1)(a)",
            "from memory",
        ),
    )
