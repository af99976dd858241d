"""The words of the upper floor: each stored value with the label people read."""

STAGES = {
    "tailgate": "At the tailgate",
    "uncrating": "At uncrating",
    "set-up": "At set-up",
    "count": "At the count",
}

CONDITIONS = {
    "sound": "Crate sound",
    "marked": "Crate marked or broken",
    "none": "Came without a crate",
}

FACES = {
    "side-1": "side 1 (label side)",
    "side-2": "side 2",
    "side-3": "side 3",
    "side-4": "side 4",
    "top": "top",
    "base": "base",
    "inside": "inside",
}

DAMAGE_KINDS = {
    "broken": "broken",
    "crushed": "crushed",
    "punctured": "punctured",
    "cracked": "cracked",
    "dented": "dented",
    "bent": "bent",
    "scratched": "scratched",
    "torn": "film or wrap torn",
    "wet": "wet",
    "leaking": "leaking",
    "tipped": "tipped over",
    "indicator": "indicator tripped",
    "loose": "loose inside",
    "missing": "part missing",
    "wrong": "wrong goods",
    "defect": "does not work",
    "short": "short",
    "over": "over",
}

SEVERITIES = {"slight": "slight", "moderate": "moderate", "severe": "severe"}

CAUSES = {
    "transit": "Transit",
    "manufacture": "Manufacture",
    "packing": "Packing by the supplier",
    "our-handling": "Handling here",
    "adjustment": "Adjustment at set-up",
    "unknown": "Cannot say",
}

ROUTES = {
    "carrier": "Carrier claim",
    "supplier-defect": "Supplier warranty (defect)",
    "supplier-goods": "Supplier short, wrong or badly packed",
    "cargo-insurance": "Cargo insurance",
    "set-up": "Adjustment at set-up",
    "own-handling": "Our own handling",
    "nowhere": "Nowhere: it proved to be nothing",
}

OUTCOMES = {
    "repair": "Repair",
    "total": "Total loss",
    "as-is": "Sold as is",
    "short": "Shortage",
}

CLAIMANTS = {"us": "We claim", "supplier": "The supplier claims"}

CLAIM_STATES = {
    "drafted": "Drafted",
    "sent": "Sent, receipt not proven",
    "received": "Received by the carrier",
    "acknowledged": "Acknowledged",
    "offered": "Offer made",
    "disallowed": "Disallowed in writing",
    "settled": "Settled",
    "withdrawn": "Withdrawn",
}

NOTICE_STATES = {
    "written": "Written, not sent",
    "sent": "Sent, receipt not proven",
    "received": "Received, and proven",
}
"""A notice stores no state: it follows from the days of its sending and receipt."""

NOTICE_KINDS = {
    "concealed": "Notice of concealed damage and request for inspection",
    "protest": "Protest: our words are missing from your receipt",
    "shortage": "Notice of shortage",
    "supplier": "Notice to the supplier",
}

SENT_HOW = {
    "email": "E-mail",
    "portal": "Carrier's web form",
    "post": "Registered post",
    "courier": "Courier",
    "hand": "By hand",
    "phone": "Telephone, confirmed in writing",
}

VALUE_BASES = {"destination": "Market value here", "invoice": "Invoice value"}
