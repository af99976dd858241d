"""When a claim may be shown in the books, and at which figure.

A recovery in dispute is presumed not probable (ASC 410-30), and a gain waits until it
is realized (ASC 450-30): both from memory, no source at hand. The accountant decides.
"""

from dataclasses import dataclass

REGISTER = "register"
FILING = "filing"
PROBABLE = "probable"

BASES = {
    REGISTER: "Beside the books until the carrier agrees in writing",
    FILING: "When the claim is filed",
    PROBABLE: "When accounting states that recovery is probable",
}

DEFAULT = REGISTER


@dataclass(frozen=True, slots=True)
class Standing:
    """What decides the figure of a claim, in cents.

    ``agreed_cents`` is None unless the carrier's written agreement stands;
    ``probable_cents`` is what accounting stated, None where nothing was.
    """

    basis: str
    loss_cents: int
    claimed_cents: int
    declined_cents: int = 0
    agreed_cents: int | None = None
    probable_cents: int | None = None


def ceiling_of(standing: Standing) -> int:
    """Return the most that the books may show as recovered before it is paid.

    Never above the loss booked: the excess, retail labor and margin, counts only once
    it is paid.
    """
    if standing.agreed_cents is not None:
        return min(standing.agreed_cents, standing.loss_cents)
    if standing.basis == REGISTER:
        return 0
    likely = max(standing.claimed_cents - standing.declined_cents, 0)
    if standing.basis == PROBABLE:
        likely = min(likely, standing.probable_cents or 0)
    return min(likely, standing.loss_cents)


@dataclass(frozen=True, slots=True)
class LineCost:
    """What one claim line cost us, in cents; ``rate_cents`` is our own labor's hour."""

    is_repair: bool
    claimed_cents: int
    goods_cents: int = 0
    parts_cents: int = 0
    minutes: int = 0
    rate_cents: int = 0
    salvage_cents: int = 0
    mitigation_cents: int = 0


def loss_of(line: LineCost) -> int:
    """Return the loss at cost: the repair at our own cost, or the goods less salvage.

    A line never loses more than it claims; accounting states another figure where the
    books hold one.
    """
    if line.is_repair:
        cost = line.parts_cents + (line.minutes * line.rate_cents + 30) // 60
    else:
        cost = max(line.goods_cents - line.salvage_cents, 0)
    return min(cost + line.mitigation_cents, line.claimed_cents)
