"""Every kind of event with the sentence a story tells it by.

A sentence may use the names in the event's data in braces. Each floor registers
its own; a kind that is not registered cannot be recorded.
"""

_registry: dict[str, str] = {}

SENTENCES = {
    "location.added": "Location {name} added.",
    "location.changed": "Location {name} changed: {changed}.",
    "person.added": "{name} added.",
    "person.changed": "{name}: {changed}.",
    "person.disabled": "{name} can no longer sign in.",
    "person.enabled": "{name} can sign in again.",
    "person.assigned": "{name} now works as {roles}.",
    "password.changed": "Password changed.",
    "rows.sealed": "{count} earlier rows of {table} sealed as they stood.",
    "carrier.added": "Carrier {name} added.",
    "carrier.changed": "Carrier {name} changed: {changed}.",
    "supplier.added": "Supplier {name} added.",
    "supplier.changed": "Supplier {name} changed: {changed}.",
    "delivery.logged": "Truck of {carrier} logged in at the dock.",
    "delivery.changed": "Delivery changed: {changed}.",
    "shipment.added": "Freight bill PRO {pro} added, {counted} counted.",
    "shipment.joined": "Freight bill PRO {pro} came again, {counted} counted.",
    "shipment.changed": "Freight bill PRO {pro} changed: {changed}.",
    "handover.counted": "Counted {counted} for PRO {pro}.",
    "crate.added": "{count:crate} listed on PRO {pro}.",
    "crate.changed": "Crate {number} changed: {changed}.",
    "crate.looked": "Crate {number}: {look}.",
    "crates.cleared": "The rest are clear: {count:crate}.",
    "crate.disposition": "Refused crate {number}: {disposition}.",
    "crate.opened": "Crate {number} opened.",
    "crate.marked": "Crate {number} marked: {mark}.",
    "crate.typed": "Crate {number} is a {type}.",
    "crate.emptied": "Crate {number} emptied.",
    "crate.checked": "Crate {number} checked against its parts list: {result}.",
    "crate.staged": "Crate {number} staged for {supplier}.",
    "crate.taken-off": "Crate {number} taken off the return. {reason}",
    "crate.shipped": "Crate {number} shipped back, {expected} expected.",
    "crate.credited": "Crate {number} credited {amount}.",
    "crate.short-credited": "Crate {number} credited {amount}, {short} short.",
    "crate.lost": "Crate {number} lost on the way back.",
    "crate.forfeited": "Deposit on crate {number} forfeited: {amount}.",
    "crate.reinstated": "Crate {number} put back: {state}. {reason}",
    "crate.scrapped": "Crate {number} scrapped. {reason}",
    "crate.disposed": "One-way crate {number}: {how}.",
    "packaging.held": "Crate {number} must stay: {reason}",
    "packaging.asked": "Asked {who} about the hold on crate {number}, on {on}.",
    "packaging.stopped": "The supplier stopped the clock of crate {number}.",
    "packaging.released": "Hold on crate {number} released: {how}. {reason}",
    "crate-type.added": "Crate type {name} of {supplier} added.",
    "crate-type.changed": "Crate type {name} changed: {changed}.",
    "terms.added": "Crate terms of {supplier} from {starts_on} added.",
    "deposit.charged": "Deposit of {amount} charged on invoice {invoice}.",
    "deposit.matched": "Deposit on invoice {invoice} matched to crate {number}.",
    "deposit.withdrawn": "Deposit on invoice {invoice} taken back: {reason}",
    "ledger.posted": "Posted: {what}, {amount}.",
    "ledger.reversed": "Reversed: {what}, {amount}.",
    "period.locked": "Books locked through {through}.",
    "account.numbered": "{kind} is account {number} in the dealer's books.",
    "return.made": "Return {number} to {supplier} begun.",
    "return.changed": "Return {number} changed: {changed}.",
    "return.shipped": "Return {number} left with {count:crate}.",
    "return.counted": "{driver} signed for {signed:crate}, {listed} listed.",
    "return.received": "Return {number} received by the supplier.",
    "return.closed": "Return {number} closed.",
    "return.cancelled": "Return {number} cancelled. {reason}",
    "memo.entered": "Credit memo {number} entered, {count:line}.",
    "memo.changed": "Credit memo {number}: {changed}.",
    "memo.matched": "Line {position} of memo {number}: {fate}.",
    "memo.posted": "Credit memo {number} posted: {amount}.",
    "short.opened": "{amount} short on {what}: {cause}.",
    "short.accepted": "{amount} short accepted. {reason}",
    "short.disputed": "{amount} short disputed. {reason}",
    "short.letter": "Letter about {amount} short on {what} made.",
    "short.won": "{amount} paid after all.",
    "write-off.asked": "Write-off of {amount} asked for. {reason}",
    "write-off.approved": "{amount} written off. {reason}",
    "statement.stated": "{supplier} states {amount} at {as_of}.",
    "return-costs.set": "Costs of a truck to {supplier} set: {changed}.",
    "unit.added": "Machine {unit} listed.",
    "unit.changed": "Machine {unit} changed: {changed}.",
    "evidence.kept": "Kept: {what}.",
    "evidence.withheld": "Withheld from people and packets: {what}. {reason}",
    "evidence.shown-again": "Shown again: {what}. {reason}",
    "receipt.signed": "Receipt signed: {how}.",
    "receipt.noted": "Note laid beside the receipt.",
    "receipt.image-compared": "Carrier's image of the receipt for PRO {pro}: {result}.",
    "hold.placed": "Set-up of {unit} stopped: {reason}",
    "hold.released": "Hold on {unit} released: {how}. {reason}",
}


LATE = frozenset(
    {
        "claim.disallowed",
        "claim.withdrawn",
        "hold.placed",
        "packaging.held",
        "crate.lost",
        "crate.forfeited",
        "short.opened",
    }
)
KEPT = frozenset(
    {
        "claim.received",
        "claim.settled",
        "deadline.met",
        "notice.received",
        "receipt.signed",
        "crate.credited",
        "memo.posted",
        "short.won",
    }
)
"""Which kinds are told as money or time lost, and which as something gained."""

MONEY_KINDS = (
    "deposit.",
    "ledger.",
    "memo.",
    "short.",
    "write-off.",
    "crate.shipped",
    "crate.credited",
    "crate.short-credited",
    "crate.forfeited",
)
"""Beginnings of the kinds that name amounts of deposits: for who may see those."""

SILENT = frozenset({"deadlines.counted"})
"""Counts are kept in the chain; a story would drown in them."""


class UnknownEventKindError(LookupError):
    """A kind that no floor has registered."""


def register(sentences: dict[str, str]) -> None:
    """Lay a floor's sentences into the one registry."""
    _registry.update(sentences)


def check_kind(kind: str) -> None:
    """Raise UnknownEventKindError unless the kind is registered."""
    if kind not in _registry:
        raise UnknownEventKindError(f"No sentence is registered for {kind}.")


class _Gaps(dict[str, object]):
    """Says a dash where an old event lacks a name that a newer sentence uses."""

    def __missing__(self, key: str) -> "_Said":
        return _Said("—")


class _Said(str):
    """A value that takes a noun as its format: "{count:crate}" says "1 crate"."""

    __slots__ = ()

    def __format__(self, noun: str) -> str:
        if not noun:
            return str(self)
        return f"{self} {noun}" if self == "1" else f"{self} {noun}s"


def tone(kind: str) -> str:
    """Return "late", "kept" or "": how a story stamps this kind."""
    if kind in LATE:
        return "late"
    return "kept" if kind in KEPT else ""


def sentence(kind: str, data: dict[str, object]) -> str:
    """Return the sentence that tells this event."""
    check_kind(kind)
    return _registry[kind].format_map(
        _Gaps({name: _Said(value) for name, value in data.items()})
    )


register(SENTENCES)
