"""The papers of a carrier claim: what each is for, and who gets it.

Drawn from 49 CFR 370.7(b) and (c) (from memory), the standard form for
presentation of loss and damage claims (text seen) and 49 CFR 370.3(b).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class PaperRule:
    """One paper of a claim file.

    ``kinds`` are the evidence words that count as this paper. ``needed`` is
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
        "It identifies the shipment and says in what order the carrier took it.",
        "Receiving clerk, from the driver or the supplier",
        "Ask the supplier for the signed bill. Without the original the carrier may "
        "want a bond of indemnity.",
    ),
    PaperRule(
        "packing-list",
        "Packing list",
        ("packing-list",),
        "always",
        "It says what was in each crate.",
        "Receiving clerk, from the crate or the supplier",
        "Look in the pouch on the crate, then ask the supplier.",
    ),
    PaperRule(
        "freight-bill",
        "Freight bill",
        ("freight-bill",),
        "always",
        "It carries the carrier's PRO number, weight and charges.",
        "Accounting, from the carrier or whoever pays the freight",
        "Ask the carrier for a copy under the PRO number.",
    ),
    PaperRule(
        "freight-paid",
        "Proof that the freight was paid",
        ("freight-paid",),
        "freight",
        "Freight is part of the amount, so its payment must be shown.",
        "Accounting",
        "Attach the payment, or the supplier's invoice line that billed it to us.",
        "No freight of ours is part of the amount.",
    ),
    PaperRule(
        "supplier-invoice",
        "Supplier's invoice, net of discounts",
        ("supplier-invoice",),
        "always",
        "It proves the value. All discounts and allowances must show.",
        "Accounting",
        "Attach the invoice, or an extract certified as true.",
    ),
    PaperRule(
        "receipt",
        "Signed delivery receipt",
        ("receipt",),
        "always",
        "It shows the day, the count, and the words written at the dock.",
        "Receiving clerk",
        "Photograph our signed copy.",
    ),
    PaperRule(
        "carrier-image",
        "Carrier's own image of the receipt",
        ("carrier-image",),
        "always",
        "It shows whether our words stand on the carrier's copy too.",
        "Receiving clerk, from the carrier",
        "Ask the carrier for its image and lay it beside ours.",
    ),
    PaperRule(
        "inspection",
        "Carrier's inspection report or waiver",
        ("inspection-report", "inspection-waiver"),
        "damage",
        "It shows that the carrier saw the damage, or chose not to.",
        "Manager, from the carrier",
        "Ask for the inspection in writing, and for a written waiver if nobody comes.",
        "Nothing came damaged: there is nothing to inspect.",
    ),
    PaperRule(
        "repair-estimate",
        "Repair estimate or repair bill",
        ("repair-estimate",),
        "repair",
        "It shows parts, hours and rate of each repair.",
        "Manager, with the technician",
        "Price the parts and hours of every finding that is repaired.",
        "No line is a repair.",
    ),
    PaperRule(
        "photos",
        "Photos of the damage",
        ("damage", "look", "opening"),
        "damage",
        "They show what was found, where, and how it was packed.",
        "Receiving clerk and technician",
        "Photograph the crate, its label and the damage, near and far.",
        "Nothing came damaged: there is nothing to photograph.",
    ),
    PaperRule(
        "origin-condition",
        "Condition at origin",
        ("origin-condition",),
        "always",
        "The bill does not speak for what lies inside a closed crate.",
        "Manager, from the supplier",
        "Ask for packing photos, the test sheet or the packer's statement.",
    ),
    PaperRule(
        "non-receipt",
        "Certificate of non-receipt",
        ("non-receipt",),
        "shortage",
        "The carrier may ask for our word that the goods came from no other source.",
        "Manager",
        "Sign a dated statement that the missing goods never came.",
        "Nothing is missing.",
    ),
)
"""Every paper, in the order in which a claim file is built."""
