"""The words of crates and their money: each stored value with its label."""

CRATE_BUILDS = {
    "wood": "Wooden crate",
    "steel": "Steel frame",
    "rack": "Rack",
    "skid": "Skid",
}

KEPT_BY = {
    "mark": "Crate by crate, by its mark",
    "count": "By count and type: they have no mark",
}

CRATE_STATES = {
    "": "Not followed",
    "full": "On hand, full",
    "emptied": "Emptied, not checked yet",
    "complete": "Complete",
    "incomplete": "Parts missing",
    "damaged": "Damaged",
    "staged": "Staged for the truck",
    "shipped": "Shipped back",
    "credited": "Credited",
    "short-credited": "Credited short",
    "lost": "Lost on the way back",
    "forfeited": "Deposit forfeited",
    "scrapped": "Scrapped",
}

ON_HAND = ("full", "emptied", "complete", "incomplete", "damaged", "staged")
"""The states of a crate that still stands in the yard."""

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
    "shipment": "date it was shipped to us",
    "receipt": "day we received it",
}

CLOCK_STOPS = {
    "pick-up": "day it is picked up here",
    "bill-date": "date of the return's bill of lading",
    "receipt": "day the supplier receives it",
}

DECLINES = {
    "none": "Nothing after the last full day",
    "steps": "In steps",
    "straight": "Straight down to nothing",
}

RETURN_FREIGHT = {"us": "We pay", "supplier": "The supplier pays"}

ACCOUNTS = {
    "deposits-receivable": "Deposits receivable",
    "credits-expected": "Credits expected",
    "disputed-credits": "Disputed credits",
    "supplier-account": "Supplier account",
    "crate-charges": "Crate charges",
    "forfeited-deposits": "Forfeited deposits",
    "return-freight": "Return freight",
    "carrier-losses": "Crates lost by carriers",
    "opening-balances": "Opening balances",
}

ACCOUNT_CLASSES = {
    "deposits-receivable": "Assets",
    "credits-expected": "Assets",
    "disputed-credits": "Assets",
    "supplier-account": "Liabilities",
    "crate-charges": "Expenses",
    "forfeited-deposits": "Expenses",
    "return-freight": "Expenses",
    "carrier-losses": "Assets",
    "opening-balances": "Equity",
}
"""The class of each account, for the export of the journal."""

ENTRY_KINDS = {
    "charge": "Deposit charged",
    "opening": "Opening balance",
    "credit-expected": "Credit expected",
    "memo": "Credit memo",
    "short-credit": "Credited short",
    "dispute": "Difference disputed",
    "dispute-won": "Dispute won",
    "forfeiture": "Deposit forfeited",
    "write-off": "Written off",
    "return-freight": "Return freight",
    "carrier-loss": "Lost on the way back",
    "reversal": "Reversal",
}

RETURN_STATES = {
    "staging": "Being staged",
    "shipped": "On its way",
    "received": "Received by the supplier",
    "closed": "Credited and closed",
    "cancelled": "Cancelled",
}

MEMO_FATES = {
    "": "Not matched yet",
    "as-expected": "As expected",
    "late": "Less: returned late",
    "missing-part": "Less: part missing or damaged",
    "price": "Less: another price",
    "more": "More than expected",
    "not-ours": "Not ours",
    "twice": "Credited before",
}

SHORT_CAUSES = {
    "late": "Returned late",
    "missing-part": "Part missing or damaged",
    "price": "Another price",
    "not-on-memo": "Not on the memo",
    "hold": "Lost to a packaging hold",
    "lost": "Lost on the way back",
}

SHORT_STATES = {
    "open": "To be explained",
    "disputed": "Disputed",
    "won": "Paid after all",
    "accepted": "Accepted",
    "written-off": "Written off",
}

PACKAGING_RELEASES = {
    "inspected": "The carrier has inspected",
    "waived": "The carrier waived inspection in writing",
    "manager": "Released by the manager after photos",
}

HOW_SIGNED_WORDS = {
    "signed": "The driver signed for the count.",
    "refused": "The driver would not sign.",
    "dropped": "There was no driver to sign.",
    "unattended": "Nobody was there to sign.",
}
"""How the count of a return was signed for; the keys are those of ``HOW_SIGNED``."""
