"""What ends a packaging hold: the carrier's report, its waiver, or a full set of photos.

A crate with transit damage stays as found until the carrier has
inspected or waived in writing (NMF 100 Item 300135, text seen), not until the claim
closes: a reusable crate's deposit runs off meanwhile.
"""

from collections.abc import Mapping
from dataclasses import dataclass

REASON = "Transit damage found. Packaging on hold for the carrier's inspection."

REPORT_KIND = "inspection-report"
WAIVER_KIND = "inspection-waiver"
PROOF_KINDS = {"inspected": REPORT_KIND, "waived": WAIVER_KIND}
"""The evidence that each kind of release needs; the manager's needs the photos."""


@dataclass(frozen=True)
class Needed:
    """A kind of photo that must be saved before the manager may release."""

    kind: str
    count: int
    words: str


NEEDED = (
    Needed("face", 5, "All sides: four sides and the top, one photo each"),
    Needed("inside", 1, "The inside"),
    Needed("blocking", 1, "Blocking and bracing"),
    Needed("label", 1, "Labels, marks and any tilt or shock indicator"),
)


@dataclass(frozen=True)
class PhotoCheck:
    """How many photos of one kind are saved, and whether they are enough."""

    needed: Needed
    kept: int

    @property
    def is_met(self) -> bool:
        """Return whether there are enough of them."""
        return self.kept >= self.needed.count


@dataclass(frozen=True)
class ReleaseFacts:
    """The facts of a release: its kind, the reason, saved proof, photos by kind."""

    how: str
    reason: str
    has_proof: bool = False
    pictures: Mapping[str, int] | None = None


def photo_checks(pictures: Mapping[str, int]) -> tuple[PhotoCheck, ...]:
    """Return the list of required photos with how many of each are saved."""
    return tuple(PhotoCheck(need, pictures.get(need.kind, 0)) for need in NEEDED)


def why_not_release(facts: ReleaseFacts) -> str:
    """Return the reason against this release, or the empty text.

    ``how`` is inspected, waived or manager. Raise KeyError for any other.
    """
    stands = "The hold was not released."
    if not facts.reason.strip():
        return f"Enter the reason: who inspected or decided, and when. {stands}"
    if facts.how == "manager":
        missing = [
            check.needed.words.lower()
            for check in photo_checks(facts.pictures or {})
            if not check.is_met
        ]
        if missing:
            return f"Photos missing: {'; '.join(missing)}. Add them first. {stands}"
        return ""
    if facts.has_proof:
        return ""
    paper = {REPORT_KIND: "inspection report", WAIVER_KIND: "written waiver"}
    return (
        f"The carrier's {paper[PROOF_KINDS[facts.how]]} is missing. Add it here as a "
        f"photo or PDF. {stands}"
    )
