"""Replaced parts: tagged, and kept until nobody can ask for them any more."""

from dataclasses import dataclass

TAG_ENDS = {
    "waived": "Carrier waived it in writing",
    "collected": "Carrier collected it",
    "claim-closed": "Claim is closed",
}
"""What ends the keeping of a replaced part."""


KEEP = (
    "Keep until the carrier waives it in writing, collects it, or the claim is closed."
)


@dataclass(frozen=True)
class PartLabel:
    """What is printed on the tag of a part, as text."""

    number: str
    part: str
    machine: str
    finding: str
    claim: str
    bill: str
    tagged: str
    shelf: str
    company: str


@dataclass(frozen=True)
class TagFacts:
    """One tagged part: whether a written waiver is saved, whether it was collected.

    ``claim_is_over`` is None where the part is in no claim.
    """

    has_waiver: bool = False
    is_collected: bool = False
    claim_is_over: bool | None = None
    is_scrapped: bool = False


@dataclass(frozen=True)
class TagVerdict:
    """Whether the part may be scrapped, by what, and why not."""

    allowed: bool
    ended_by: str = ""
    reason: str = ""


def may_scrap(facts: TagFacts) -> TagVerdict:
    """Return whether this part may be scrapped now."""
    if facts.is_scrapped:
        return TagVerdict(allowed=False, reason="It is already scrapped.")
    if facts.is_collected:
        return TagVerdict(
            allowed=False,
            ended_by="collected",
            reason="The carrier collected it: it is not here to scrap.",
        )
    if facts.has_waiver:
        return TagVerdict(allowed=True, ended_by="waived")
    if facts.claim_is_over:
        return TagVerdict(allowed=True, ended_by="claim-closed")
    waits = (
        "It is in no claim yet."
        if facts.claim_is_over is None
        else "Its claim is still open."
    )
    return TagVerdict(
        allowed=False,
        reason=f"{waits} Keep the part until the carrier waives it in writing, collects "
        "it, or the claim is closed. Nothing was changed.",
    )
