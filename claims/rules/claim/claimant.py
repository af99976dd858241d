"""Who claims, whom to notify, and what to do meanwhile.

Acceptance or rejection and the supplier's own terms decide what follows from the risk.
Who paid the freight never decides it.
"""

from dataclasses import dataclass

from claims.rules.claim.risk import ANSWERS, TERMS, ClaimantFacts, Reason, risk_of
from inventory.rules.core.text import capital


@dataclass(frozen=True)
class ClaimantVerdict:
    """Who bears the risk ("us", "supplier", "unknown") and who claims.

    ``claimant`` is "us" or "supplier": who files with the carrier. Every text
    can be shown as it is.
    """

    bears_risk: str
    claimant: str
    summary: str
    reasons: tuple[Reason, ...]
    notify: tuple[str, ...]
    duties: tuple[str, ...]
    doubts: tuple[str, ...] = ()


def decide_claimant(facts: ClaimantFacts) -> ClaimantVerdict:
    """Return who bears the loss and who claims, with the reasoning.

    Raise ValueError for delivery terms or an answer that is not listed.
    """
    if facts.delivery_terms not in TERMS or facts.answer not in ANSWERS:
        raise ValueError("Unknown delivery terms or answer to the goods.")
    risk, reasons = risk_of(facts)
    claimant, more = _claimant(facts, risk)
    return ClaimantVerdict(
        bears_risk=risk,
        claimant=claimant,
        summary=_summary(facts, risk, claimant),
        reasons=(*reasons, *more, _freight_reason(facts)),
        notify=_notify(facts),
        duties=_duties(facts, claimant),
        doubts=_doubts(facts, risk, claimant),
    )


def _claimant(facts: ClaimantFacts, risk: str) -> tuple[str, tuple[Reason, ...]]:
    if _supplier_files_by_agreement(facts):
        return "supplier", (
            Reason(
                f"{capital(facts.supplier)} files with the carrier on freight it "
                "prepays. That is agreed, and it does not move the risk.",
                "The supplier's terms",
            ),
        )
    if risk == "supplier":
        return "supplier", (
            Reason(
                "Whoever bore the risk is the natural claimant. The other side may "
                "sue only with its consent, and holds the money for it.",
                "UCC 2-722",
                "from memory",
            ),
        )
    if risk == "us":
        return "us", (
            Reason(
                "Whoever bore the risk is the natural claimant against the carrier.",
                "49 U.S.C. 14706(a)(1); UCC 2-722",
                "from memory",
            ),
        )
    return "us", (
        Reason(
            "Until the terms are known we prepare the claim ourselves, so that no "
            "deadline is missed. Only one of us may be paid.",
            "49 CFR 370.3(e)",
            "from memory",
        ),
    )


def _supplier_files_by_agreement(facts: ClaimantFacts) -> bool:
    prepaid = facts.freight_payer in {"prepaid", "prepaid-billed"}
    return facts.supplier_files_when_prepaid and prepaid


def _freight_reason(facts: ClaimantFacts) -> Reason:
    payer = {
        "prepaid": "The supplier prepaid the freight.",
        "prepaid-billed": "The supplier prepaid the freight and billed it to us.",
        "collect": "We pay the freight.",
        "third-party": "Someone else pays the freight.",
    }.get(facts.freight_payer, "Payer of the freight not known.")
    return Reason(f"{payer} That decides who pays the freight, not who bears the loss.")


def _summary(facts: ClaimantFacts, risk: str, claimant: str) -> str:
    who = capital(facts.supplier)
    if facts.regime == "private":
        return f"{who} bears the loss. There is no carrier to claim from."
    if risk == "unknown":
        return (
            "Not decided: the delivery terms are missing. Until they are known, we "
            "file with the carrier by its deadlines."
        )
    bears = "We bear the loss" if risk == "us" else f"{who} bears the loss"
    if claimant == "us":
        return f"{bears}, and we claim from the carrier."
    return f"{bears}, and {facts.supplier} claims from the carrier."


def _notify(facts: ClaimantFacts) -> tuple[str, ...]:
    if facts.regime == "private":
        return (f"{capital(facts.supplier)}, within its own period.",)
    return (
        "The delivering carrier, in writing, with a request for inspection.",
        (
            f"{capital(facts.supplier)}, within its own period, to keep every right "
            "against it."
        ),
    )


_US_TERMS = ("parcel", "private", "cogsa")

_CARE = (
    (
        "Hold the goods. Do not repair, run, move off site or sell them until the "
        "carrier has inspected, or has waived inspection in writing."
    ),
    "Protect the goods from weather and further damage. Keep the receipts for that.",
    "Keep the crate, blocking, wrap and labels with the goods.",
)


def _duties(facts: ClaimantFacts, claimant: str) -> tuple[str, ...]:
    found = list(_CARE) if facts.answer != "not-delivered" else []
    if claimant == "supplier" and facts.regime != "private":
        found.append(
            f"Send {facts.supplier} the signed receipt, photos and findings at once. "
            "It cannot prove the damage without us."
        )
    if facts.answer == "rejected":
        found.extend(_duties_when_rejected(facts))
    if facts.answer in {"accepted", "accepted-with-exceptions"}:
        found.append(
            f"Notify {facts.supplier} of what is wrong within a reasonable time, "
            "even where the claim is ours (UCC 2-607(3)(a))."
        )
    if facts.needs_return_authorization:
        found.append(
            f"Ask {facts.supplier} for a return authorization before anything goes back."
        )
    return tuple(found)


def _duties_when_rejected(facts: ClaimantFacts) -> tuple[str, ...]:
    found = [
        (
            "State in the refusal exactly what is wrong. A defect that could be "
            "cured and is not named is waived (UCC 2-605)."
        ),
        "Ask the carrier in writing what it will do with the refused goods.",
    ]
    if facts.delivery_terms == "destination":
        found.append(
            f"Follow reasonable instructions from {facts.supplier} about goods still "
            "here; without any, store them, send them back or sell them for its "
            "account (UCC 2-603, 2-604)."
        )
    return tuple(found)


def _doubts(facts: ClaimantFacts, risk: str, claimant: str) -> tuple[str, ...]:
    found = []
    if risk == "unknown":
        found.append("Find the delivery terms before the claim goes out.")
    if not facts.regime.startswith("us-") and facts.regime not in _US_TERMS:
        found.append(
            "These reasons follow US sales law. Elsewhere the sale contract and its "
            "own law decide: check them."
        )
    if risk == "us" and claimant == "supplier":
        found.append(
            "The loss is ours although the supplier files. Get its claim number and "
            "the date the carrier received the claim. If you cannot get both in "
            "time, file the claim yourself."
        )
    if risk == "us" and facts.answer == "rejected":
        found.append(
            "Refusing does not shift the loss to the supplier, unless it arranged "
            "the carriage unreasonably (UCC 2-504)."
        )
    if facts.badly_sent:
        found.append(
            "The supplier may be liable for how it shipped the goods (UCC 2-504). "
            "Notify it in writing, and still meet the carrier's deadlines."
        )
    if risk == "supplier" and facts.answer == "accepted" and facts.regime != "private":
        found.append(
            "We took the goods without objecting. We owe the price and must show "
            "that the damage was there on arrival (UCC 2-607)."
        )
    return tuple(found)
