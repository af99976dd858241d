"""What stands still while the carrier has not inspected, and what ends it.

Goods and packaging are kept as found until the carrier inspects or waives in
writing (NMF 100 Item 300135, text seen). The manager's own release is ours: it
costs proof, so it takes a reason and photos.
"""

from dataclasses import dataclass

STOPPED = "not repaired, not run, not moved off site, not released"

REASON = "Transit damage found. It waits for the carrier's inspection."

WAIVER_KIND = "inspection-waiver"


@dataclass(frozen=True)
class Verdict:
    """Whether it is allowed, and the sentence that says why not."""

    allowed: bool
    reason: str = ""


def may_set_up(*, is_held: bool, hold_reason: str = "") -> Verdict:
    """Say whether this machine may be set up now."""
    if not is_held:
        return Verdict(allowed=True)
    return Verdict(
        allowed=False,
        reason=f"This machine is on hold: {hold_reason} It is {STOPPED}. Nothing was "
        "saved. A manager releases it once the carrier has inspected or waived.",
    )


def may_release(*, how: str, reason: str, has_waiver: bool, photos: int) -> Verdict:
    """Say whether a hold may end in this way.

    ``how`` is inspected, waived or manager. ``has_waiver`` says whether the
    carrier's written waiver is kept; ``photos`` counts those of this machine.
    """
    if not reason.strip():
        return Verdict(
            allowed=False,
            reason="Write why: who inspected or decided, and when. "
            "The hold stands as it was.",
        )
    if how == "waived" and not has_waiver:
        return Verdict(
            allowed=False,
            reason="The carrier's written waiver is not kept yet. Add it here as a "
            "photo or PDF. The hold stands as it was.",
        )
    if how == "manager" and photos == 0:
        return Verdict(
            allowed=False,
            reason="Release without the carrier needs photos of the damage as it is "
            "now. Add them here. The hold stands as it was.",
        )
    return Verdict(allowed=True)
