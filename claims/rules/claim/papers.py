"""The documents of a carrier claim: what each is for, and who gets it.

Drawn from 49 CFR 370.7(b) and (c) (from memory), the standard form for
presentation of loss and damage claims (text seen) and 49 CFR 370.3(b).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class PaperRule:
    """One document of a claim file.

    ``kinds`` are the evidence kinds that count as this document. ``needed`` is
    "always", "damage", "repair", "shortage" or "freight".
    """

    key: str
    label: str
    kinds: tuple[str, ...]
    needed: str
    why: str
    who: str
    to_do: str
    why_not: str = ""


PAPERS = (
    PaperRule(
        "bill-of-lading",
        "Bill of lading",
        ("bill-of-lading",),
        "always",
        "It identifies the shipment and the condition in which the carrier took it.",
        "Receiving clerk, from the driver or the supplier",
        "Ask the supplier for the signed bill. Without the original the carrier may "
        "ask for an indemnity bond.",
    ),
    PaperRule(
        "packing-list",
        "Packing list",
        ("packing-list",),
        "always",
        "It shows what was in each crate.",
        "Receiving clerk, from the crate or the supplier",
        "Check the pouch on the crate, then ask the supplier.",
    ),
    PaperRule(
        "freight-bill",
        "Freight bill",
        ("freight-bill",),
        "always",
        "It shows the carrier's PRO number, weight and charges.",
        "Accounting, from the carrier or the freight payer",
        "Ask the carrier for a copy under the PRO number.",
    ),
    PaperRule(
        "freight-paid",
        "Proof of freight payment",
        ("freight-paid",),
        "freight",
        "Freight is part of the amount, so its payment must be shown.",
        "Accounting",
        "Add the payment, or the supplier's invoice line that billed it to us.",
        "We claim no freight.",
    ),
    PaperRule(
        "supplier-invoice",
        "Supplier's invoice, net of discounts",
        ("supplier-invoice",),
        "always",
        "It proves the value. All discounts and allowances must show.",
        "Accounting",
        "Add the invoice, or an extract certified as true.",
    ),
    PaperRule(
        "receipt",
        "Signed delivery receipt",
        ("receipt",),
        "always",
        "It shows the day, the count, and the exceptions written at the dock.",
        "Receiving clerk",
        "Photograph our signed copy.",
    ),
    PaperRule(
        "carrier-image",
        "Carrier's POD",
        ("carrier-image",),
        "always",
        "It shows whether our exceptions are on the carrier's copy too.",
        "Receiving clerk, from the carrier",
        "Ask the carrier for its POD and compare it with our copy.",
    ),
    PaperRule(
        "inspection",
        "Carrier's inspection report or waiver",
        ("inspection-report", "inspection-waiver"),
        "damage",
        "It shows that the carrier saw the damage, or chose not to.",
        "Manager, from the carrier",
        "Ask for the inspection in writing, and for a written waiver if nobody comes.",
        "Nothing arrived damaged, so there is nothing to inspect.",
    ),
    PaperRule(
        "repair-estimate",
        "Repair estimate or repair invoice",
        ("repair-estimate",),
        "repair",
        "It shows parts, hours and rate of each repair.",
        "Manager, with the technician",
        "Price the parts and hours of every finding to be repaired.",
        "No line is a repair.",
    ),
    PaperRule(
        "photos",
        "Photos of the damage",
        ("damage", "look", "opening"),
        "damage",
        "They show what was found, where, and how it was packed.",
        "Receiving clerk and technician",
        "Photograph the crate, its label and the damage, from a distance and close up.",
        "Nothing arrived damaged, so there is nothing to photograph.",
    ),
    PaperRule(
        "origin-condition",
        "Condition at origin",
        ("origin-condition",),
        "always",
        "The bill of lading does not cover the condition inside a closed crate.",
        "Manager, from the supplier",
        "Ask for packing photos, the test sheet or the packer's statement.",
    ),
    PaperRule(
        "non-receipt",
        "Certificate of non-receipt",
        ("non-receipt",),
        "shortage",
        "The carrier may ask for our statement that the goods were not received "
        "from any other source.",
        "Manager",
        "Sign and date a statement that the missing goods were never received.",
        "Nothing is missing.",
    ),
)
"""Every document, in the order in which a claim file is built."""
