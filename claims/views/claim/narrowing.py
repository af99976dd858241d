"""What a person narrows the claims desk to, kept in the page's address."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import QueryDict

from claims.queries.claim.listing import ClaimRow
from claims.rules.claim.todo import Todo, Who
from claims.rules.core.vocabulary import CLAIM_STATES
from inventory.models import Shipment


@dataclass(frozen=True)
class Narrowing:
    """Everyone's or one's own, one carrier, one state, one location; each may be open."""

    is_mine: bool = False
    carrier: int | None = None
    state: str = ""
    location: int | None = None

    @classmethod
    def of(
        cls, asked: QueryDict, carriers: Iterable[int], locations: Iterable[int]
    ) -> "Narrowing":
        """Read what was asked for; what the desk does not offer counts for nothing."""
        state = asked.get("state", "")
        return cls(
            is_mine=asked.get("who") == "mine",
            carrier=_one_of(carriers, asked.get("carrier", "")),
            state=state if state in CLAIM_STATES else "",
            location=_one_of(locations, asked.get("location", "")),
        )

    @property
    def narrows(self) -> bool:
        """Return whether anything is left out."""
        return self != Narrowing()

    @property
    def state_words(self) -> str:
        """Return what the chosen state is called."""
        return CLAIM_STATES.get(self.state, "")

    def keeps(self, one: Todo) -> bool:
        """Return whether this act is shown."""
        return self._keeps(one.who, one.carrier, one.state, one.location)

    def keeps_claim(self, row: ClaimRow, who: Who) -> bool:
        """Return whether this claim is shown."""
        claim = row.claim
        carrier = claim.shipment.carrier_id
        return self._keeps(who, carrier, claim.state, claim.location_id)

    def keeps_bill(self, bill: Shipment) -> bool:
        """Return whether what is on this freight bill is shown."""
        return self.carrier in {None, bill.carrier_id} and self.location in {
            None,
            bill.location_id,
        }

    def keys(self) -> dict[str, int]:
        """Return the conditions on rows of freight bills, for a query."""
        found = {
            "shipment__carrier": self.carrier,
            "shipment__location": self.location,
        }
        return {key: value for key, value in found.items() if value is not None}

    def _keeps(self, who: Who, carrier: int, state: str, location: int) -> bool:
        return (
            (who.is_mine or not self.is_mine)
            and self.carrier in {None, carrier}
            and self.state in {"", state}
            and self.location in {None, location}
        )


def _one_of(keys: Iterable[int], text: str) -> int | None:
    return next((key for key in keys if str(key) == text), None)
