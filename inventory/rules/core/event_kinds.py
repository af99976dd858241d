"""The kinds of event, each with the sentence shown for it in the history.

A sentence may use the names in the event's data in braces. A kind belongs to the
floor whose rows it is about; the floor above adds its own once. A kind that has no
sentence cannot be recorded.
"""

from collections.abc import Callable
from datetime import date
from typing import Literal

from inventory.rules.core.registry import Registry

_OWN_SENTENCES = {
    "location.added": "Location {name} added.",
    "location.changed": "Location {name} changed: {changed}.",
    "person.added": "{name} added.",
    "person.changed": "{name}: {changed}.",
    "person.disabled": "{name} can no longer sign in.",
    "person.enabled": "{name} can sign in again.",
    "person.assigned": "{name} is now {roles}.",
    "password.changed": "{name} changed their password.",
    "password.link-made": "{name} was given a one-time link to set a new password.",
    "password.reset": "{name} set a new password by a one-time link.",
    "password.rehashed": "The password of {name} was stored in a newer form.",
    "factor.added": "{name} turned two-step sign-in on.",
    "factor.removed": "Two-step sign-in of {name} turned off.",
    "factor.codes-renewed": "{name} made new recovery codes.",
    "factor.code-used": "{name} used a recovery code, {left:code} left.",
    "passkey.added": "{name} added the passkey {key}.",
    "passkey.removed": "{name} removed the passkey {key}.",
    "dock-phone.added": "{name} is now a shared phone at {location}.",
    "dock-phone.ended": "{name} is no longer a shared phone at {location}.",
    "legal-hold.placed": "Legal hold placed, {matter}: {reason}",
    "legal-hold.lifted": "Legal hold lifted, {matter}: {reason}",
    "pin.set": "{name} set a PIN for shared phones.",
    "pin.removed": "{name} has no PIN any longer.",
    "rows.sealed": "{count} earlier rows of {table} sealed as stored.",
    "carrier.added": "Carrier {name} added.",
    "carrier.changed": "Carrier {name} changed: {changed}.",
    "supplier.added": "Supplier {name} added.",
    "list.imported": "{count:row} of {title} imported from {file}.",
    "list.undone": "Import of {title} from {file} undone, {count:row} retired: "
    "{reason}",
    "person.started": "{name} was given a first password.",
    "supplier.changed": "Supplier {name} changed: {changed}.",
    "delivery.logged": "Truck of {carrier} logged at the dock.",
    "delivery.changed": "Truck changed: {changed}.",
    "delivery.phone-clock": "The phone's clock was {off}. It said the truck arrived "
    "{told}. Received {received}.",
    "delivery.fact": "{what}.",
    "act.undone": "Undone: {what}",
    "shipment.added": "Freight bill PRO {pro} added, {counted} counted.",
    "shipment.joined": "More of freight bill PRO {pro} arrived, {counted} counted.",
    "shipment.changed": "Freight bill PRO {pro} changed: {changed}.",
    "delivery.took-empties": "Truck closed: took empties only, no freight ({returns}). "
    "{reason}",
    "delivery.withdrawn": "Truck of {carrier} taken back, with {bills:freight bill} and "
    "{crates:crate}: {reason}",
    "shipment.withdrawn": "Freight bill PRO {pro} taken back, with {crates:crate}: "
    "{reason}",
    "shipment.taken-off": "Freight bill PRO {pro} taken off this truck, with "
    "{crates:crate}: {reason}",
    "crate.withdrawn": "Crate {number} on PRO {pro} taken back: {reason}",
    "expected.announced": "{count:freight bill} of {supplier} announced, {crates:crate} "
    "({file}).",
    "expected.withdrawn": "{number} is no longer expected: {reason}",
    "handover.counted": "Counted {counted} for PRO {pro}.",
    "handover.unseen": "Crates of PRO {pro} not inspected: {reason}.",
    "crate.added": "{count:crate} listed on PRO {pro}.",
    "crate.over": "{count:crate} over on PRO {pro}, held for the carrier.",
    "crate.over-answered": "Over crate {number}: {answer} on {on}. {note}",
    "crate.changed": "Crate {number} changed: {changed}.",
    "crate.looked": "Crate {number}: {look}.",
    "crates.cleared": "No visible damage on {count:crate}.",
    "crate.disposition": "Refused crate {number}: {disposition}.",
    "crate.opened": "Crate {number} opened.",
    "crate.marked": "Crate {number} marked: {mark}.",
    "crate.typed": "Crate {number} is type {type}.",
    "crate.emptied": "Crate {number} recorded as empty.",
    "crate.checked": "Crate {number} checked against its parts list: {result}.",
    "crate.staged": "Crate {number} staged for {supplier}.",
    "crate.taken-off": "Crate {number} taken off the return. {reason}",
    "crate.shipped": "Crate {number} shipped back, {expected} expected.",
    "crate.credited": "Crate {number} credited {amount}.",
    "crate.short-credited": "Crate {number} credited {amount}, short by {short}.",
    "crate.lost": "Crate {number} lost in return transit.",
    "crate.forfeited": "Deposit on crate {number} forfeited: {amount}.",
    "crate.reinstated": "Crate {number} reset to {state}. {reason}",
    "crate.scrapped": "Crate {number} scrapped. {reason}",
    "crate.disposed": "One-way crate {number} disposed of: {how}.",
    "packaging.held": "Packaging hold on crate {number}: {reason}",
    "packaging.asked": "Asked {who} on {on} about the packaging hold on crate {number}.",
    "packaging.stopped": "The supplier stopped the clock on crate {number}.",
    "packaging.released": "Packaging hold on crate {number} released: {how}. {reason}",
    "crate-type.added": "Crate type {name} of {supplier} added.",
    "crate-type.changed": "Crate type {name} changed: {changed}.",
    "terms.added": "Crate terms of {supplier} added, in force from {starts_on}.",
    "deposit.charged": "Deposit of {amount} charged on invoice {invoice}.",
    "deposit.credit-opened": "Credit of {amount} brought in as expected, shipped back on "
    "bill {bill}.",
    "deposit.matched": "Deposit on invoice {invoice} matched to crate {number}.",
    "deposit.withdrawn": "Deposit on invoice {invoice} withdrawn: {reason}",
    "ledger.posted": "Posted: {what}, {amount}.",
    "ledger.reversed": "Reversed: {what}, {amount}.",
    "period.locked": "Books locked through {through}.",
    "account.numbered": "{kind} is account {number} in the company's books.",
    "rate.entered": "Exchange rate entered: 1 {currency} = {rate} of {on}, {source}.",
    "return.made": "Return {number} to {supplier} started.",
    "return.changed": "Return {number} changed: {changed}.",
    "return.shipped": "Return {number} shipped with {count:crate}.",
    "return.counted": "{driver} signed for {signed:crate}; {listed} listed.",
    "return.received": "Return {number} received by the supplier.",
    "return.closed": "Return {number} closed.",
    "return.cancelled": "Return {number} canceled. {reason}",
    "memo.entered": "Credit memo {number} entered, {count:line}.",
    "memo.changed": "Credit memo {number}: {changed}.",
    "memo.matched": "Line {position} of memo {number}: {fate}.",
    "memo.posted": "Credit memo {number} posted: {amount}.",
    "memo.part-posted": "Part of credit memo {number} posted, {count:line}.",
    "memo.reversed": "Credit memo {number} reversed: {amount}. {reason}",
    "return.loss-posted": "{carrier} owes {amount} for {what}, lost on {number}.",
    "return.loss-reversed": "Loss of {what} on {number} reversed: {amount}. {reason}",
    "return.reopened": "Return {number} open again: a credit on it was undone.",
    "short.decided": "Short-paid credit of {amount} decided.",
    "short.undone": "Short-paid credit of {amount} is {state} again. {reason}",
    "short.reversed": "Short-paid credit of {amount} reversed. {reason}",
    "suspense.reversed": "{amount} held in suspense reversed with its memo. {reason}",
    "suspense.opened": "{amount} held in suspense: {why}.",
    "suspense.matched": "{amount} held in suspense matched to {what}. {reason}",
    "suspense.returned": "{amount} held in suspense returned to the supplier. {reason}",
    "suspense.taken": "{amount} held in suspense taken as income. {reason}",
    "short.opened": "{amount} short-paid on {what}: {cause}.",
    "short.accepted": "Short-paid credit of {amount} accepted as a loss. {reason}",
    "short.disputed": "Short-paid credit of {amount} disputed. {reason}",
    "short.letter": "Letter about {amount} short-paid on {what} made.",
    "short.won": "Short-paid credit of {amount} paid.",
    "write-off.asked": "Write-off of {amount} requested. {reason}",
    "write-off.approved": "{amount} written off. {reason}",
    "statement.stated": "{supplier}'s statement shows {amount} on {as_of}.",
    "return-costs.set": "Truck costs to {supplier} set: {changed}.",
    "unit.added": "Machine {unit} added.",
    "unit.changed": "Machine {unit} changed: {changed}.",
    "evidence.kept": "Added: {what}.",
    "evidence.read": "Copies of {what} made and sealed.",
    "evidence.unreadable": "No copy of {what} can be made; the file is saved.",
    "evidence.withheld": "Hidden from people and claim files: {what}. {reason}",
    "evidence.shown-again": "Shown again: {what}. {reason}",
    "evidence.marked": "Marked on a copy of {what}: {marks}.",
    "evidence.unmarked": "All marks removed from the copies of {what}.",
    "receipt.signed": "Delivery receipt: {how}.",
    "receipt.ended": "Delivery receipt: {how}.",
    "receipt.noted": "Note added to the receipt.",
    "receipt.image-compared": "Carrier's POD for PRO {pro}: {result}.",
    "mail.taken": "Mail to {to} taken by the mail server.",
    "mail.refused": "Mail to {to} could not be delivered: {reason}",
    "mail.again": "Mail to {to} sent again.",
    "mail.called-off": "Mail to {to} not sent from here. {reason}",
    "hold.placed": "Setup hold on {unit}: {reason}",
    "hold.released": "Setup hold on {unit} released: {how}. {reason}",
}

Tone = Literal["late", "kept", "silent"]
"""Money or time lost, something gained, or never shown in a story."""

_OWN_TONES: dict[str, Tone] = {
    "hold.placed": "late",
    "mail.refused": "late",
    "receipt.ended": "late",
    "packaging.held": "late",
    "crate.lost": "late",
    "crate.forfeited": "late",
    "short.opened": "late",
    "receipt.signed": "kept",
    "crate.credited": "kept",
    "memo.posted": "kept",
    "short.won": "kept",
    # It keeps what a decision changed, for its undoing; the decision has its own event.
    "short.decided": "silent",
}

sentences: Registry[str, str] = Registry("event sentences", _OWN_SENTENCES)
tones: Registry[str, Tone] = Registry("tones of events", _OWN_TONES)

MONEY_KINDS = (
    "deposit.",
    "ledger.",
    "memo.",
    "short.",
    "suspense.",
    "return.loss-",
    "write-off.",
    "crate.shipped",
    "crate.credited",
    "crate.short-credited",
    "crate.forfeited",
)
"""Prefixes of the kinds that name deposit amounts, to decide who may see them."""


_DAYS = frozenset({"on", "due", "through", "as_of", "starts_on"})
"""The names under which the data of events holds a day."""


class UnknownEventKindError(LookupError):
    """The event kind is not registered."""


def check_kind(kind: str) -> None:
    """Raise UnknownEventKindError unless the kind is registered."""
    if kind not in sentences:
        raise UnknownEventKindError(f"No sentence is registered for {kind}.")


class _Gaps(dict[str, object]):
    """Event data that gives a dash for a name that an older event does not have."""

    def __missing__(self, key: str) -> "_Said":
        return _Said("—")


class _Said(str):
    """A value that takes a noun as its format: "{count:crate}" gives "1 crate"."""

    __slots__ = ()

    def __format__(self, noun: str) -> str:
        if not noun:
            return str(self)
        return f"{self} {noun}" if self == "1" else f"{self} {noun}s"


def tone(kind: str) -> str:
    """Return "late", "kept" or "": how a story stamps this kind."""
    found = tones.get(kind, "")
    return "" if found == "silent" else found


def silent_kinds() -> frozenset[str]:
    """Return the kinds that are kept in the chain and never shown in a story."""
    return frozenset(kind for kind, found in tones.items() if found == "silent")


def sentence(
    kind: str,
    data: dict[str, object],
    write_day: Callable[[date], str] = date.isoformat,
) -> str:
    """Return the sentence for this event; ``write_day`` writes the days in it."""
    check_kind(kind)
    said = {name: _Said(value) for name, value in data.items()}
    for name in _DAYS & said.keys():
        try:
            said[name] = _Said(write_day(date.fromisoformat(said[name])))
        except ValueError:
            continue  # this event has no day there
    return sentences[kind].format_map(_Gaps(said))
