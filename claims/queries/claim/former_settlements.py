"""What ``verify`` compares: a former settlement and the payment that it became."""

from collections.abc import Iterator

from claims.models import Claim, ClaimPayment
from inventory.evidence.seal.sealed_tables import register_sealed
from inventory.evidence.seal.snapshots import Snapshot, columns_of


def settlement_faults(snapshot: Snapshot) -> Iterator[str]:
    """Yield a sentence for each former settlement that its payment does not equal."""
    paid: dict[object, tuple[object, object]] = {}
    columns = columns_of(ClaimPayment, ("claim", "cents", "on", "is_former"))
    for claim, cents, on, is_former in snapshot.rows(ClaimPayment, columns):
        if is_former:
            paid[claim] = (cents, on)
    columns = columns_of(Claim, ("id", "number", "settled_cents", "settled_on"))
    for key, number, cents, on in snapshot.rows(Claim, columns):
        found = paid.pop(key, None)
        if cents and found is None:
            yield (
                f"claim {number}: its former settlement is no payment yet. Run "
                "manage.py carry_over_claims."
            )
        elif found is not None and found != (cents, on):
            yield f"claim {number}: its former settlement differs from its payment."


def register() -> None:
    """Make every verification compare the two."""
    register_sealed(ClaimPayment, settlement_faults)
