"""A crate lost or damaged on the way home: what may be claimed, by whom, on what proof.

The return has a bill of lading of its own, of which we are the shipper and the
supplier is the consignee. The loss is what the supplier's terms would have credited
and did not: never more, so neither a deposit that was late nor the price of a new crate.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.papers import PAPERS, PaperRule
from claims.rules.claim.risk import Reason
from inventory.rules.core.text import capital

LOST = "lost"
DAMAGED = "damaged"

OUTCOMES = {LOST: "short", DAMAGED: "repair"}
"""How a line of each kind counts: a crate not delivered, or a deduction for repair."""

RISKS = {
    "destination": "We do, until the supplier has the crates",
    "origin": "The supplier, once the carrier has them",
    "unknown": "The terms do not say",
}
"""Who bears the loss on the way home, by the supplier's terms; stored as FOB terms."""


@dataclass(frozen=True, slots=True)
class HomeCrate:
    """One crate of a return, as the books hold it. Amounts in cents.

    ``loss_cents`` is what was booked as lost, ``credited_cents`` what the supplier
    credited after that. ``claim`` is the number of the claim that has it.
    """

    kind: str
    loss_cents: int
    credited_cents: int = 0
    has_deposit: bool = True
    is_same_currency: bool = True
    is_decided: bool = True
    claim: str = ""

    @property
    def left_cents(self) -> int:
        """Return what the supplier has not credited after all."""
        return max(self.loss_cents - self.credited_cents, 0)


def why_not_claimed(crate: HomeCrate) -> str:
    """Return why nothing can be claimed for this crate now, or nothing."""
    checks = (
        (not crate.claim, f"It is in claim {crate.claim}."),
        (
            crate.has_deposit,
            "No deposit was charged for it, so no loss is in the books.",
        ),
        (
            crate.is_decided,
            (
                "What the supplier kept back for it is not decided. Accept that loss first, "
                "or dispute it: who disputes it expects the money from the supplier."
            ),
        ),
        (crate.loss_cents, "No loss of it is in the books."),
        (
            crate.left_cents,
            "The supplier has credited it after all, so nothing is lost.",
        ),
        (
            crate.is_same_currency,
            "Its deposit is in another currency than the return.",
        ),
    )
    return next((words for holds, words in checks if not holds), "")


def decide_home_claimant(terms: str, supplier: str) -> ClaimantVerdict:
    """Return who claims under a return's bill; ``terms`` is a key of RISKS."""
    if terms not in RISKS:
        raise ValueError("Unknown terms of risk.")
    who = capital(supplier)
    shipper = Reason(
        "We are the shipper on the return's bill of lading: the carrier is liable to the "
        "person entitled to recover under it.",
        "49 U.S.C. 14706(a)(1)",
        "text seen",
    )
    amount = Reason(
        "The loss is the credit that the supplier's terms give for the crate, and no more.",
        "49 U.S.C. 14706(a)(1), actual loss",
        "text seen",
    )
    notify = (
        "The carrier of the return, in writing.",
        f"{who}, for its count of the load and a statement of what it did not receive.",
    )
    if terms == "origin":
        return ClaimantVerdict(
            bears_risk="supplier",
            claimant="supplier",
            summary=f"{who} bears the loss by its terms, so its credit is due all the "
            "same and the claim is its own.",
            reasons=(
                Reason(
                    "FOB origin on the way home: the risk is the supplier's from the "
                    "carrier's signature on.",
                    "UCC 2-319(1)(a), 2-509(1)(a), by analogy",
                    "from memory",
                ),
            ),
            notify=notify,
            duties=(f"Dispute the credit with {supplier}, with the signed bill.",),
        )
    bears = "us" if terms == "destination" else "unknown"
    head = (
        f"We bear the loss until {supplier} has the crates"
        if bears == "us"
        else f"The terms of {supplier} do not say who bears the loss on the way home"
    )
    doubts = (
        ()
        if bears == "us"
        else (
            (
                f"Ask {supplier} who bears the loss by its terms. If it does, its credit "
                "is due and this claim is its own."
            ),
        )
    )
    return ClaimantVerdict(
        bears_risk=bears,
        claimant="us",
        summary=f"{head}, and we claim from the carrier as the shipper.",
        reasons=(shipper, amount),
        notify=notify,
        duties=(
            f"Ask {supplier} for its count of the load, signed.",
            "If the supplier credits a crate after all, take that off the claim.",
        ),
        doubts=doubts,
    )


_SAID = {
    "bill-of-lading": (
        "Bill of lading of the return, signed by the driver",
        "It shows how many crates the carrier took, and from whom.",
        "Receiving clerk",
        "Photograph our copy with the driver's signature and count.",
    ),
    "supplier-invoice": (
        "Supplier's invoice that charged the deposit",
        "With the supplier's terms it proves what the crate was worth to us.",
        "Accounting",
        "Add the invoice, or the page of it with the deposit.",
    ),
    "freight-bill": (
        "Carrier's freight bill of the return",
        "It shows the carrier's PRO number, weight and charges.",
        "Accounting, from the carrier or the freight payer",
        "Ask the carrier for a copy under the bill of lading number.",
    ),
    "carrier-image": (
        "Carrier's POD, signed by the supplier",
        "It shows what the supplier counted and wrote when the load arrived.",
        "Accounting, from the carrier",
        "Ask the carrier for its POD of the return.",
    ),
    "non-receipt": (
        "Supplier's count or statement of non-receipt",
        (
            "The carrier may ask for the consignee's statement that the crate was not "
            "received from any other source (49 CFR 370.7(c), from memory)."
        ),
        "Accounting, from the supplier",
        "Ask the supplier to state which crates it did not receive.",
    ),
    "inspection": (
        "Carrier's inspection report or waiver",
        "It shows that the carrier saw the damage, or chose not to.",
        "Accounting, from the supplier",
        "Ask the supplier whether the carrier inspected the crate there.",
    ),
    "photos": (
        "Photos of the damage",
        "They show what the supplier found.",
        "Accounting, from the supplier",
        "Ask the supplier for photos of the crate as received.",
    ),
}


def home_papers() -> tuple[PaperRule, ...]:
    """Return the documents of a claim under a return's bill, in the order of its file."""
    return tuple(
        replace(rule, label=label, why=why, who=who, to_do=to_do)
        for rule in PAPERS
        if rule.key in _SAID
        for label, why, who, to_do in (_SAID[rule.key],)
    )


HOME_PAPERS = home_papers()


@dataclass(frozen=True, slots=True)
class TransitFacts:
    """What is known of a return on the road: crates listed, received, lost, damaged."""

    is_received: bool
    crates: int
    lost: int
    damaged: int


def losses_of(facts: TransitFacts) -> tuple[str, ...]:
    """Return the kinds of loss, as the rules of carriage name them.

    Where the rest of the load arrived, one crate missing is a shortage; where nothing
    is known to have arrived it was never delivered.
    """
    found = set()
    if facts.lost:
        all_gone = facts.lost >= facts.crates
        is_part = facts.is_received and not all_gone
        found.add("shortage" if is_part else "non-delivery")
    if facts.damaged:
        found.add("damage")
    return tuple(sorted(found))


def claimed_words(kinds: Collection[str]) -> str:
    """Return what happened to the crates, for a heading."""
    if set(kinds) == {DAMAGED}:
        return "damaged on the way home"
    if DAMAGED in kinds:
        return "lost or damaged on the way home"
    return "lost on the way home"
