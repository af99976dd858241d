"""Labels of the stored values of crates and their deposits."""

from inventory.rules.core.accounts import SUPPLIER
from inventory.rules.core.registry import Registry

CRATE_BUILDS = {
    "wood": "Wooden crate",
    "steel": "Steel frame",
    "rack": "Rack",
    "skid": "Skid",
}

KEPT_BY = {
    "mark": "Crate by crate, by its mark",
    "count": "By count and type, without marks",
}

CRATE_STATES = {
    "": "Not tracked",
    "full": "Full",
    "emptied": "Empty, not checked",
    "complete": "Complete",
    "incomplete": "Parts missing",
    "damaged": "Damaged",
    "staged": "Staged",
    "shipped": "Shipped back",
    "credited": "Credited",
    "short-credited": "Short-paid",
    "lost": "Lost in return transit",
    "forfeited": "Deposit forfeited",
    "scrapped": "Scrapped",
}

ON_HAND = ("full", "emptied", "complete", "incomplete", "damaged", "staged")
"""The states of a crate that is still in the yard."""

SENT_BACK = ("shipped", "lost", "credited", "short-credited")
"""The states of a crate that has left on a return."""

READY = ("complete", "incomplete", "damaged")
"""The states from which a crate can be staged."""

DISPOSALS = {
    "reused": "Reused here",
    "recycled-wood": "Wood recycled",
    "recycled-hardware": "Hardware recycled",
    "landfill": "Landfill",
}

CLOCK_STARTS = {
    "invoice": "date of the supplier's invoice",
    "shipment": "date the supplier shipped it",
    "receipt": "date we received it",
}

CLOCK_STOPS = {
    "pick-up": "date it is picked up here",
    "bill-date": "date of the return's bill of lading",
    "receipt": "date the supplier receives it",
}

DECLINES = {
    "none": "Nothing after the last full day",
    "steps": "In steps",
    "straight": "Evenly, day by day",
}

FREIGHT_CLASSES = (
    "50",
    "55",
    "60",
    "65",
    "70",
    "77.5",
    "85",
    "92.5",
    "100",
    "110",
    "125",
    "150",
    "175",
    "200",
    "250",
    "300",
    "400",
    "500",
)
"""The classes of the motor freight classification (from memory)."""

RETURN_FREIGHT = {"us": "We pay", "supplier": "The supplier pays"}

_ACCOUNTS = {
    "deposits-receivable": "Deposits receivable",
    "credits-expected": "Credits expected",
    "disputed-credits": "Disputed credits",
    "supplier-account": "Supplier account",
    "crate-charges": "Crate charges",
    "forfeited-deposits": "Forfeited deposits",
    "deposits-written-off": "Deposits written off",
    "return-freight": "Return freight",
    "carrier-losses": "Crates lost by carriers",
    "opening-balances": "Opening balances",
    "supplier-suspense": "Suspense: credits not ours",
    "credits-kept": "Supplier credits kept",
}

_ACCOUNT_CLASSES = {
    "deposits-receivable": "Assets",
    "credits-expected": "Assets",
    "disputed-credits": "Assets",
    "supplier-account": "Liabilities",
    "crate-charges": "Expenses",
    "forfeited-deposits": "Expenses",
    "deposits-written-off": "Expenses",
    "return-freight": "Expenses",
    "carrier-losses": "Assets",
    "opening-balances": "Equity",
    "supplier-suspense": "Liabilities",
    "credits-kept": "Income",
}
ACCOUNTS: Registry[str, str] = Registry("accounts", _ACCOUNTS)
"""The label of each kind of account."""

DEPOSIT_ACCOUNTS = tuple(_ACCOUNTS)
"""The kinds that deposits and their credits are posted on."""

ACCOUNT_CLASSES: Registry[str, str] = Registry("classes of accounts", _ACCOUNT_CLASSES)
"""The class of each account, for the export of the journal."""

ACCOUNT_PARTNERS: Registry[str, frozenset[str]] = Registry(
    "partners of accounts", dict.fromkeys(_ACCOUNTS, frozenset({SUPPLIER}))
)
"""Whose accounts may be of each kind: suppliers', carriers'."""

_ENTRY_KINDS = {
    "charge": "Deposit charged",
    "opening": "Opening balance",
    "credit-expected": "Credit expected",
    "memo": "Credit memo",
    "short-credit": "Short-paid",
    "dispute": "Short-paid credit disputed",
    "dispute-won": "Dispute won",
    "forfeiture": "Deposit forfeited",
    "write-off": "Written off",
    "return-freight": "Return freight",
    "carrier-loss": "Lost in return transit",
    "held-returned": "Credit returned to the supplier",
    "held-matched": "Credit matched later",
    "held-taken": "Credit taken as income",
    "reversal": "Reversal",
}
DEPOSIT_ENTRIES = tuple(_ENTRY_KINDS)
"""The kinds of entry of deposits and their credits."""

ENTRY_KINDS: Registry[str, str] = Registry("kinds of entry", _ENTRY_KINDS)
"""What each kind of entry is called."""

RETURN_STATES = {
    "staging": "Staging",
    "shipped": "Shipped",
    "received": "Received by the supplier",
    "closed": "Closed",
    "cancelled": "Canceled",
}

MEMO_FATES = {
    "": "Not matched",
    "as-expected": "As expected",
    "late": "Short: returned late",
    "missing-part": "Short: part missing or damaged",
    "price": "Short: other price",
    "more": "More than expected",
    "not-ours": "Not ours",
    "twice": "Already credited",
}

SHORT_CAUSES = {
    "late": "Returned late",
    "missing-part": "Part missing or damaged",
    "price": "Other price",
    "not-on-memo": "Not on the memo",
    "hold": "Held for inspection",
    "lost": "Lost in return transit",
}

SHORT_STATES = {
    "open": "Open",
    "disputed": "Disputed",
    "won": "Paid",
    "accepted": "Loss accepted",
    "written-off": "Written off",
    "reversed": "Reversed",
}

SUSPENSE_STATES = {
    "open": "Undecided",
    "matched": "Matched to a crate",
    "returned": "Returned to the supplier",
    "income": "Taken as income",
    "reversed": "Reversed",
}

PACKAGING_RELEASES = {
    "inspected": "Inspected by the carrier",
    "waived": "Inspection waived in writing by the carrier",
    "manager": "Released by the manager, with photos",
}

HOW_SIGNED_WORDS = {
    "signed": "The driver signed for the count.",
    "refused": "The driver refused to sign.",
    "dropped": "No driver present (trailer dropped).",
    "unattended": "No driver present.",
}
"""How the driver's count of a return was signed; of the keys of ``HOW_SIGNED`` those that a return can have."""
