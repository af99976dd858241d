"""What of this floor the database keeps as open; see ``inventory/derived.py``."""

from claims.rules.bench.causes import ADJUSTMENT
from claims.rules.books.kinds import GROSS
from claims.rules.claim.life import LIFE
from claims.rules.claim.routes import NO_PAYER
from inventory.derived import OpenKind

_ROUTES = ", ".join(f"'{route}'" for route in sorted(NO_PAYER))

_NOT_RELEASED = """
r.withdrawn_at IS NULL
AND NOT EXISTS (SELECT 1 FROM claims_signoff s WHERE s.unit_id = r.id)
AND (
  EXISTS (SELECT 1 FROM claims_setup b WHERE b.unit_id = r.id)
  OR NOT EXISTS (
    SELECT 1 FROM claims_inspection i WHERE i.unit_id = r.id
    AND i.stage = 'set-up' AND NOT (i.looks = '[]' AND i.note = '')
  )
)
"""

_WITHOUT_MACHINE = """
r.withdrawn_at IS NULL AND r.opened_at IS NOT NULL
AND NOT EXISTS (SELECT 1 FROM inventory_unit u WHERE u.crate_id = r.id)
AND NOT EXISTS (
  SELECT 1 FROM claims_inspection i WHERE i.crate_id = r.id AND i.stage = 'uncrating'
)
"""

_WITHOUT_PHOTO = """
r.damage_kind NOT IN ('short', 'over') AND r.route <> 'nowhere' AND NOT EXISTS (
  SELECT 1 FROM claims_findingphoto p WHERE p.finding_id = r.id AND NOT COALESCE((
    SELECT w.is_withheld FROM inventory_withholding w
    WHERE w.evidence_id = p.evidence_id ORDER BY w.id DESC LIMIT 1
  ), false)
)
"""

_NOT_CLAIMED = f"""
NOT EXISTS (
  SELECT 1 FROM claims_claimline l WHERE l.finding_id = r.id AND l.holds
)
AND (
  NOT (r.route IN ({_ROUTES}) OR r.route = '' AND r.cause = '{ADJUSTMENT}')
  OR r.cause = 'our-handling' AND r.handling_answer = ''
)
"""

_LIVE = ", ".join(f"'{state}'" for state in sorted(LIFE.live))
_GROSS = ", ".join(f"'{kind}'" for kind in GROSS)

_BOOKED = f"""
r.retired_at IS NULL
AND EXISTS (SELECT 1 FROM claims_claimbooking b WHERE b.claim_id = r.id)
AND (
  r.state IN ({_LIVE})
  OR (
    SELECT COALESCE(SUM(l.cents), 0) FROM claims_claimposting p
    JOIN inventory_leg l ON l.entry_id = p.entry_id
    JOIN inventory_account a ON a.id = l.account_id
    WHERE p.claim_id = r.id AND a.kind IN ({_GROSS})
  ) <> 0
)
"""

_UNBOOKED = """
r.retired_at IS NULL AND r.sent_on IS NOT NULL
AND NOT EXISTS (SELECT 1 FROM claims_claimbooking b WHERE b.claim_id = r.id)
"""

_OF_CLAIM = {"claims_claim": "{row}.id", "claims_claimbooking": "{row}.claim_id"}

_OF_UNIT = dict.fromkeys(
    ("claims_signoff", "claims_setup", "claims_inspection"), "{row}.unit_id"
)

OPEN_KINDS = {
    "machine": OpenKind(
        "inventory_unit", _NOT_RELEASED, {"inventory_unit": "{row}.id", **_OF_UNIT}
    ),
    "bare-crate": OpenKind(
        "inventory_crate",
        _WITHOUT_MACHINE,
        {
            "inventory_crate": "{row}.id",
            "inventory_unit": "{row}.crate_id",
            "claims_inspection": "{row}.crate_id",
        },
    ),
    "bare-finding": OpenKind(
        "claims_finding",
        _WITHOUT_PHOTO,
        {
            "claims_finding": "{row}.id",
            "claims_findingphoto": "{row}.finding_id",
            "inventory_withholding": (
                "SELECT p.finding_id FROM claims_findingphoto p "
                "WHERE p.evidence_id = {row}.evidence_id"
            ),
        },
    ),
    "free-finding": OpenKind(
        "claims_finding",
        _NOT_CLAIMED,
        {"claims_finding": "{row}.id", "claims_claimline": "{row}.finding_id"},
    ),
    "booked-claim": OpenKind(
        "claims_claim",
        _BOOKED,
        {**_OF_CLAIM, "claims_claimposting": "{row}.claim_id"},
    ),
    "unbooked-claim": OpenKind("claims_claim", _UNBOOKED, _OF_CLAIM),
}
"""Machines not released, crates opened without a machine, findings without a photo,
findings that no claim holds and somebody may have to pay for, claims in the books that
are live or of which something is open there, and filed claims that are not in them."""
