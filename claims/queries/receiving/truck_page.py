"""One truck as its page shows it: crates as tiles, and the act that comes next."""

from collections.abc import Iterable
from dataclasses import dataclass

from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from claims.rules.core.vocabulary import DAMAGE_KINDS
from claims.rules.receiving.receipt_counts import noted_counts
from claims.rules.receiving.receipt_words import damage_in_words
from inventory.models import Crate, Delivery, Handover
from inventory.queries.receiving.thumbs import Thumb, thumbs_of_crates
from inventory.rules.core.vocabulary import LOOKS, REFUSAL_REASONS
from inventory.rules.reckoning.counts import pieces_in_words

WRONG_GOODS = DAMAGE_KINDS["wrong"].capitalize()


@dataclass(frozen=True)
class Tile:
    """One crate: its state in two lines of words, and its picture.

    ``state`` is a key of LOOKS, with "unseen" for a crate that is not inspected.
    ``what`` is the damage in a word or two, ``seen`` all that was seen.
    """

    crate: Crate
    state: str
    words: str
    what: str
    seen: str
    thumb: Thumb | None


@dataclass(frozen=True)
class TileBill:
    """One freight bill on this truck with its tiles."""

    bill: BillAtTailgate
    tiles: tuple[Tile, ...]

    @property
    def handover(self) -> Handover:
        """Return the row."""
        return self.bill.handover

    @property
    def is_counted(self) -> bool:
        """Return whether this truck's pieces were counted."""
        return self.handover.pieces_counted is not None

    @property
    def left(self) -> int | None:
        """Return how many billed pieces no earlier truck brought; None if not billed."""
        billed = self.handover.shipment.pieces_billed
        earlier = self.bill.facts.earlier or 0
        return None if billed is None else max(billed - earlier, 0)

    @property
    def all_here(self) -> str:
        """Return "All 8 here", with the handling units where the bill states them."""
        shipment = self.handover.shipment
        if not shipment.handling_billed:
            return f"All {self.left} here"
        skids = pieces_in_words(shipment.handling_billed, shipment.handling_unit)
        return (
            f"All here: {skids}, {pieces_in_words(self.left or 0, shipment.piece_unit)}"
        )

    @property
    def count_words(self) -> str:
        """Return "6 billed, 6 counted", of this truck where others brought more."""
        is_known = self.handover.shipment.pieces_billed is not None
        return (
            self.bill.head if is_known else f"Pieces billed not known, {self.bill.head}"
        )

    @property
    def open_unseen(self) -> int:
        """Return how many crates of an open bill are not inspected."""
        return 0 if self.handover.is_closed else self.bill.unseen


@dataclass(frozen=True)
class TruckPage:
    """The truck, its bills, and what they need."""

    delivery: Delivery
    bills: tuple[TileBill, ...]
    load: Thumb | None

    @property
    def crate_count(self) -> int:
        """Return how many crates the truck brought."""
        return sum(len(bill.tiles) for bill in self.bills)

    @property
    def unseen(self) -> int:
        """Return how many crates are left to inspect."""
        return sum(bill.open_unseen for bill in self.bills)

    @property
    def uncounted(self) -> list[TileBill]:
        """Return the open bills that are not counted."""
        return [
            bill
            for bill in self.bills
            if not bill.is_counted and not bill.handover.is_closed
        ]

    @property
    def noted(self) -> str:
        """Return "2 exceptions, 1 refused", or that there is none yet."""
        return noted_words(tile.state for bill in self.bills for tile in bill.tiles)

    def tiles_in(self, *states: str) -> list[Tile]:
        """Return the crates in these states, bill by bill."""
        return [
            tile for bill in self.bills for tile in bill.tiles if tile.state in states
        ]

    @property
    def act(self) -> str:
        """Return the one act that comes next, by its key in the template."""
        if not self.bills:
            return "add-bill"
        if not self.unseen:
            return "write"
        if self.uncounted and self.load is not None:
            return "count"
        return "rest" if self.load is not None else "load"


def truck_page(delivery: Delivery) -> TruckPage:
    """Return the truck's page. The queries do not grow with the load."""
    bills = bills_at_tailgate(delivery)
    for bill in bills:
        bill.handover.delivery = delivery
    thumbs, load = thumbs_of_crates(delivery.pk)
    return TruckPage(
        delivery,
        tuple(
            TileBill(bill, tuple(_tile(bill, crate, thumbs) for crate in bill.crates))
            for bill in bills
        ),
        load,
    )


def noted_words(states: Iterable[str]) -> str:
    """Return "2 exceptions, 1 refused" of these states."""
    return ", ".join(noted_counts(list(states))) or "No exceptions"


def _tile(bill: BillAtTailgate, crate: Crate, thumbs: dict[int, Thumb]) -> Tile:
    look = next(one for one in bill.facts.crates if one.number == crate.number)
    ground = REFUSAL_REASONS.get(crate.refused_for, "")
    ground = ground or ("Over, held for carrier" if crate.is_over else "")
    what = DAMAGE_KINDS[look.damages[0].kind].capitalize() if look.damages else ground
    return Tile(
        crate=crate,
        state=crate.look or "unseen",
        words=LOOKS[crate.look],
        what=ground if what == WRONG_GOODS and ground else what,
        seen="; ".join(damage_in_words(damage) for damage in look.damages) or ground,
        thumb=thumbs.get(crate.pk),
    )
