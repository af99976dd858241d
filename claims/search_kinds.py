"""By which numbers the rows of this floor are found; see ``inventory/searched.py``."""

from inventory.searched import SearchKind

SEARCH_KINDS = {
    "claim": SearchKind(
        61,
        "claims_claim",
        ("number", "carrier_claim_number"),
        "r.retired_at IS NULL",
        ("retired_at",),
        act="see-claims",
    ),
}
