"""The sentences of a claim file that are ours: what happened, liability, demand.

Our own words. The rule that each sentence answers stands beside it; the periods of the
closing are those of 49 CFR 370.5(a) and 370.9(a) (numbers text seen).
"""

from collections.abc import Sequence
from dataclasses import dataclass

DAMAGE, SHORTAGE, BOTH = "Damage", "Shortage", "Damage and shortage"

EXTENTS = {"partial": "Partial loss", "full": "Full loss"}


@dataclass(frozen=True)
class LossFacts:
    """The facts that the letter and the statement tell in sentences.

    ``taken`` says of crates on the way home who took them: then we were the shipper.
    """

    carrier: str
    claimant: str
    supplier: str
    kind: str
    pro: str
    bol: str
    amount: str
    delivered: str
    pieces: str
    place: str
    articles: tuple[str, ...]
    damages: tuple[str, ...]
    receipt: str
    inspect_at: str
    extent: str = ""
    taken: str = ""


def liability(facts: LossFacts) -> str:
    """Return the sentence that holds the carrier liable (49 CFR 370.3(b)(2))."""
    if not facts.carrier.strip():
        return ""
    what = {
        DAMAGE: "delivered them damaged",
        SHORTAGE: "did not deliver all of them",
        BOTH: "delivered them damaged and short",
    }[facts.kind]
    return (
        f"{facts.carrier} received the goods described here for carriage and {what}. "
        f"{facts.carrier} is liable for the loss. We claim payment of the amount shown."
    )


def demand(facts: LossFacts) -> str:
    """Return liability and demand as one line (49 CFR 370.3(b)(2) and (3))."""
    what = {DAMAGE: "damage", SHORTAGE: "shortage", BOTH: "damage and shortage"}
    return (
        f"{facts.carrier} is liable for this {what[facts.kind]}. We claim payment of "
        f"{facts.amount}."
    )


def opening(facts: LossFacts) -> tuple[str, ...]:
    """Return what happened, as the cover letter tells it."""
    billed = f", billed as {facts.pieces}" if facts.pieces else ""
    on = f"On {facts.delivered}, " if facts.delivered else ""
    bill = f"freight bill {facts.pro}" if facts.pro else f"bill of lading {facts.bol}"
    told = (
        [facts.taken]
        if facts.taken
        else [
            f"{on}{facts.carrier} delivered to our dock at {facts.place} under {bill}{billed}."
        ]
    )
    if facts.articles:
        told.append(f"The loss concerns {listed(facts.articles)}.")
    told += [f"{one.rstrip('. ')}." for one in facts.damages[:4]]
    if facts.receipt:
        told.append(facts.receipt)
    return (" ".join(told),)


def closing(facts: LossFacts, *, exhibits: int) -> tuple[str, ...]:
    """Return what is enclosed and what we ask of the carrier."""
    count = f"Exhibits 1 to {exhibits} follow" if exhibits > 1 else "Exhibit 1 follows"
    bound = f" {count}, numbered on every page." if exhibits else ""
    asked = (
        "Please send us your acknowledgment with your claim number within 30 days "
        "after you receive this claim (49 CFR 370.5), and your decision within 120 "
        "days (49 CFR 370.9)."
    )
    inspect = (
        f"You may inspect the goods and their packaging here: {facts.inspect_at}"
        if facts.inspect_at and facts.kind != SHORTAGE
        else ""
    )
    return tuple(
        part
        for part in (
            (
                "The claim statement identifies the shipment, and the schedule shows the "
                f"amount line by line.{bound} The list of evidence is at the end."
            ),
            asked,
            inspect,
        )
        if part
    )


def hand_over(facts: LossFacts) -> tuple[str, ...]:
    """Return the letter that hands the file to the supplier, whose claim it is."""
    return (
        f"{opening(facts)[0]}",
        (
            f"The claim against {facts.carrier} for this loss is yours to file. We enclose "
            "our record of the delivery, of what was found, and of the cost of repair, "
            "with every exhibit, for your claim. We file no claim of our own for it."
        ),
    )


def hand_over_asks() -> tuple[str, ...]:
    """Return what we ask of the supplier."""
    return (
        (
            "Please tell us the number and the day of your claim, and send us a copy. All "
            "our rights under the order are reserved."
        ),
    )


def listed(words: Sequence[str]) -> str:
    """Return "a", "a and b" or "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def claim_for(kind: str) -> str:
    """Return what the reference table calls the claim: "Claim for damage"."""
    return f"Claim for {kind[:1].lower()}{kind[1:]}"
