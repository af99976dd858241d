"""The numbers that the exhibits of a claim have in the file that went out."""

import json

from claims.models import Claim

_BOUND_IN = 4
"""The first format of a claim file whose exhibits are numbered pages of it."""


def exhibit_numbers(claim: Claim) -> dict[str, int]:
    """Return the exhibit number of each original, in the claim file that went out.

    That is the last one made up to the day of sending; before that, the last one.
    """
    rows = claim.packets.order_by("-packet_version")
    went = rows.filter(as_of__lte=claim.sent_on).first() if claim.sent_on else None
    packet = went or rows.first()
    if packet is None:
        return {}
    content = json.loads(packet.content)
    if content.get("format", 0) < _BOUND_IN:
        return {}
    return {row["sha256"]: row["number"] for row in reversed(content["exhibits"])}
