"""What the books should hold of one claim now: amounts by slot and by account.

A slot is one fact of the claim: its filing, a supplement, a payment, its end. Debits
above zero, credits below. A slot alone need not sum to zero: what is missing goes to
the allowance, and ``values`` says how much of that may be shown as recovered.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from claims.rules.books import kinds
from claims.rules.books.basis import REGISTER, Standing, ceiling_of

Amounts = dict[str, int]
Slots = dict[str, Amounts]

MEMO = "supplier-memo"
COUNTERS = {"credit": kinds.FREIGHT, MEMO: kinds.MEMOS}
"""The counter-account of a payment, by its method; else it is money."""


@dataclass(frozen=True, slots=True)
class Receipt:
    """One payment of the claim, in cents. One that ``waits`` settles nothing yet."""

    number: int
    cents: int
    method: str
    waits: bool = False


@dataclass(frozen=True, slots=True)
class BookFacts:
    """What happened on a claim, as far as it concerns the books, in cents.

    ``parts`` are the claim (0) and its supplements that went to the carrier.
    ``declined_cents`` is what the carrier declined and we did not answer by agreeing.
    ``was_agreed`` stays true once the carrier agreed. ``salvage_cents`` is what sales
    brought beyond what the lines deduct. ``end`` is a kind of entry, or nothing.
    ``is_way_home`` is a claim about crates, whose loss a supplier's book holds already:
    of it ``expensed_cents`` as a cost, the rest as lost by a carrier.
    """

    basis: str
    is_supplier: bool
    loss_cents: int
    parts: tuple[tuple[int, int], ...]
    receipts: tuple[Receipt, ...] = ()
    salvage_cents: int = 0
    agreed_cents: int | None = None
    was_agreed: bool = False
    declined_cents: int = 0
    probable_cents: int | None = None
    end: str = ""
    is_way_home: bool = False
    expensed_cents: int = 0

    @property
    def claimed_cents(self) -> int:
        """Return what was filed in all."""
        return sum(cents for _, cents in self.parts)

    @property
    def is_booked(self) -> bool:
        """Return whether the claim is in the books, not beside them."""
        return bool(self.parts) and (self.basis != REGISTER or self.was_agreed)


@dataclass(frozen=True, slots=True)
class Names:
    """The accounts that an open claim stands on."""

    open: str
    disputed: str
    allowance: str


BESIDE = Names(kinds.REGISTER, kinds.REGISTER_DECLINED, kinds.CONTRA)


def is_beside(kinds_held: Iterable[str]) -> bool:
    """Return whether an open claim on these accounts stands beside the books."""
    return not {BESIDE.open, BESIDE.disputed}.isdisjoint(kinds_held)


def booked_names(*, is_supplier: bool) -> Names:
    """Return the accounts of a claim that is in the books."""
    own = kinds.SUPPLIER_CLAIMS if is_supplier else kinds.RECEIVABLE
    return Names(own, kinds.DISPUTED, kinds.ALLOWANCE)


def names_of(facts: BookFacts) -> Names:
    """Return the accounts that the open amount of the claim belongs on now."""
    if facts.is_booked:
        return booked_names(is_supplier=facts.is_supplier)
    return BESIDE


@dataclass(frozen=True, slots=True)
class Position:
    """The slots of a claim in the order they are posted, and the value accounts."""

    slots: Slots
    values: Amounts
    open_cents: int


def position_of(facts: BookFacts, held: Mapping[str, Mapping[str, int]]) -> Position:
    """Return what the books should hold; ``held`` is what each slot holds already.

    A slot that was posted beside the books stays there; the slot "booked" moves the
    sum. What came first is set off first.
    """
    if not facts.parts:
        return Position({}, dict.fromkeys(kinds.VALUE, 0), 0)
    names = _Naming(names_of(facts), held)
    slots, room = _filed(facts, names)
    before = room
    for slot, cents, counter in _set_off(facts, list(held)):
        applied = min(cents, room)
        room -= applied
        slots[slot] = {
            counter: cents,
            names.of(slot).open: -applied,
            kinds.OWED: applied - cents,
        }
    left = 0 if facts.end else room
    slots |= _waiting(facts) | _ended(facts, names, room)
    slots = {
        slot: kept for slot, found in slots.items() if (kept := without_nothing(found))
    }
    if facts.is_booked:
        slots |= _moved(slots, names.now)
    values = _values(facts, names.now, left=left, paid=before - room)
    return Position(slots, values, left)


@dataclass(frozen=True, slots=True)
class _Naming:
    """The accounts of each slot: those it was posted on, else those of now."""

    now: Names
    held: Mapping[str, Mapping[str, int]]

    def of(self, slot: str) -> Names:
        return BESIDE if is_beside(self.held.get(slot, ())) else self.now


def _filed(facts: BookFacts, names: _Naming) -> tuple[Slots, int]:
    """Return the slots of what was claimed, and what is claimed now."""
    room = facts.claimed_cents
    slots: Slots = {"loss": _loss(facts)}
    for number, cents in facts.parts:
        slot = f"supplement-{number}" if number else "filed"
        slots[slot] = {names.of(slot).open: cents}
    if facts.agreed_cents is not None and facts.agreed_cents < room:
        slots["agreed"] = {names.of("agreed").open: facts.agreed_cents - room}
        room = facts.agreed_cents
    return slots, room


def _loss(facts: BookFacts) -> Amounts:
    """Return the loss at cost; a withdrawn claim about crates leaves it as it stood."""
    if not facts.is_way_home:
        return {kinds.LOSS: facts.loss_cents, kinds.AT_COST: -facts.loss_cents}
    is_left = facts.end == kinds.WITHDRAWN
    loss = 0 if is_left else max(facts.loss_cents - facts.expensed_cents, 0)
    return {kinds.LOSS: loss, kinds.WAY_HOME: -loss}


def _waiting(facts: BookFacts) -> Slots:
    """Return the slots of payments that wait for a decision."""
    return {
        f"payment-{one.number}": {
            COUNTERS.get(one.method, kinds.CASH): one.cents,
            kinds.OWED: -one.cents,
        }
        for one in facts.receipts
        if one.waits
    }


def _ended(facts: BookFacts, names: _Naming, room: int) -> Slots:
    """Return the slot of the claim's end, or of what is declined while it is open."""
    if facts.end:
        return {"end": {names.of("end").open: -room}}
    own, declined = names.of("declined"), min(facts.declined_cents, room)
    return {"declined": {own.open: -declined, own.disputed: declined}}


def without_nothing(found: Mapping[str, int]) -> Amounts:
    """Return the amounts that are not zero."""
    return {kind: cents for kind, cents in found.items() if cents}


def _set_off(facts: BookFacts, order: Sequence[str]) -> Iterable[tuple[str, int, str]]:
    """Yield slot, cents and counter-account of what is set off, the earliest first."""
    found = [
        (f"payment-{one.number}", one.cents, COUNTERS.get(one.method, kinds.CASH))
        for one in facts.receipts
        if not one.waits
    ]
    if facts.salvage_cents:
        found.append(("salvage", facts.salvage_cents, kinds.SALVAGE))
    place = {slot: number for number, slot in enumerate(order)}
    return sorted(found, key=lambda one: place.get(one[0], len(place)))


def _moved(slots: Slots, now: Names) -> Slots:
    """Return the slot that moves into the books what still stands beside them."""
    sums: Counter[str] = Counter()
    for found in slots.values():
        sums.update(found)
    moved: Amounts = {}
    for was, into in ((BESIDE.open, now.open), (BESIDE.disputed, now.disputed)):
        moved |= {was: -sums[was], into: sums[was]}
    kept = without_nothing(moved)
    return {"booked": kept} if kept else {}


def _values(facts: BookFacts, now: Names, *, left: int, paid: int) -> Amounts:
    ceiling = ceiling_of(
        Standing(
            basis=facts.basis,
            loss_cents=facts.loss_cents,
            claimed_cents=facts.claimed_cents,
            declined_cents=facts.declined_cents,
            agreed_cents=facts.agreed_cents,
            probable_cents=facts.probable_cents,
        )
    )
    still = max(ceiling - paid, 0)
    recovered = max(paid, ceiling)
    within = min(recovered, facts.loss_cents)
    values = dict.fromkeys(kinds.VALUE, 0)
    values[now.allowance] = (0 if facts.end else still) - left
    values[kinds.RECOVERED] = -within
    values[kinds.GAINS] = within - recovered
    values[kinds.WRITTEN_OFF] = still if facts.end else 0
    return values
