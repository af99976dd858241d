"""What is on hold until the carrier inspects, and what ends the hold.

Goods and packaging are kept as found until the carrier inspects or waives in
writing (NMF 100 Item 300135, text seen). The manager's own release is ours: it
weakens the proof, so it needs a reason and photos.
"""

from dataclasses import dataclass

STOPPED = "Do not repair, run, move off site or release it"

REASON = "Transit damage found. On hold for the carrier's inspection."

WAIVER_KIND = "inspection-waiver"


@dataclass(frozen=True)
class Verdict:
    """Whether it is allowed, and why not."""

    allowed: bool
    reason: str = ""


def may_set_up(*, is_held: bool, hold_reason: str = "") -> Verdict:
    """Return whether this machine may be set up now."""
    if not is_held:
        return Verdict(allowed=True)
    return Verdict(
        allowed=False,
        reason=f"This machine is on hold. {hold_reason} {STOPPED}. Nothing was saved. A "
        "manager can release it once the carrier has inspected or waived.",
    )


def may_release(*, how: str, reason: str, has_waiver: bool, photos: int) -> Verdict:
    """Return whether a hold may end in this way.

    ``how`` is inspected, waived or manager. ``has_waiver`` is whether the
    carrier's written waiver is saved; ``photos`` counts those of this machine.
    """
    if not reason.strip():
        return Verdict(
            allowed=False,
            reason="Enter the reason: who inspected or decided, and when. The hold was "
            "not released.",
        )
    if how == "waived" and not has_waiver:
        return Verdict(
            allowed=False,
            reason="The carrier's written waiver is missing. Add it here as a photo or "
            "PDF. The hold was not released.",
        )
    if how == "manager" and photos == 0:
        return Verdict(
            allowed=False,
            reason="To release without the carrier, add photos of the damage as it is "
            "now. The hold was not released.",
        )
    return Verdict(allowed=True)
