"""What a claim file cannot go out without, and what it only should have.

The four are the minimum of 49 CFR 370.3(b) (text seen), with a claimant who can be
answered. Whatever else is missing makes the claim weaker, never void.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class ReadyFacts:
    """What is known of a claim before its file is confirmed.

    ``credited`` says what a supplier credited that the claim still asks for.
    """

    claimant: str
    claimant_lines: tuple[str, ...]
    claimant_is_supplier: bool = False
    supplier: str = ""
    pro: str = ""
    bol: str = ""
    assertion: str = ""
    amount_cents: int = 0
    missing_papers: tuple[str, ...] = ()
    certified_alone: bool = False
    extent_known: bool = False
    signer_title: str = ""
    signer_phone: str = ""
    condition_known: bool = True
    freight_class: str = ""
    custody_open: bool = False
    repair_known: bool = True
    credited: str = ""


def what_blocks(facts: ReadyFacts) -> tuple[str, ...]:
    """Return every reason why this claim file cannot be confirmed.

    A hand-over to the supplier demands nothing, so it needs the shipment alone.
    """
    checks = [
        (
            bool(facts.pro.strip() or facts.bol.strip()),
            (
                "Nothing identifies the shipment: the PRO and the bill of lading number "
                "are both missing. Complete the paperwork."
            ),
        )
    ]
    if not facts.claimant_is_supplier:
        checks += [
            (
                bool(facts.claimant.strip()) and any(facts.claimant_lines),
                "The claimant has no name or no address. Enter the location's address.",
            ),
            (
                bool(facts.assertion.strip()),
                "No sentence holds the carrier liable. Name the carrier.",
            ),
            (
                facts.amount_cents > 0,
                (
                    "The claim has no amount above zero. Price the findings or adjust a "
                    "line."
                ),
            ),
            (not facts.credited, f"{facts.credited} Take it off the claim first."),
        ]
    return tuple(words for holds, words in checks if not holds)


def what_warns(facts: ReadyFacts) -> tuple[str, ...]:
    """Return everything that is missing and stops nothing."""
    found = [f"{name} is missing." for name in facts.missing_papers]
    checks = (
        (
            facts.certified_alone,
            "Nobody certified that no other claim was filed for this loss.",
        ),
        (facts.extent_known, "Full or partial loss is not chosen."),
        (
            bool(facts.signer_title and facts.signer_phone),
            "The title or the phone of the person who signs is missing.",
        ),
        (facts.condition_known, "New or used is not chosen for every article."),
        (bool(facts.freight_class), "The class as billed is missing."),
        (facts.repair_known, "Whether a repair was begun or done is not entered."),
        (
            not facts.custody_open,
            (
                "The crate stood before it was opened, and where it stood or who moved it "
                "is not entered."
            ),
        ),
    )
    found += [words for holds, words in checks if not holds]
    return tuple(found)
