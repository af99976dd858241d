"""Labels of the stored values of the upper floor, as people read them."""

STAGES = {
    "tailgate": "At delivery",
    "uncrating": "At uncrating",
    "set-up": "At setup",
    "count": "At the piece count",
}

CONDITIONS = {
    "sound": "Crate OK",
    "marked": "Crate marked or damaged",
    "none": "Not crated",
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
    "torn": "wrap torn",
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

SEVERITIES = {"slight": "minor", "moderate": "moderate", "severe": "severe"}

CAUSES = {
    "transit": "Transit",
    "manufacture": "Manufacturing",
    "packing": "Packing by the supplier",
    "our-handling": "Our handling",
    "adjustment": "Setup adjustment",
    "unknown": "Not known",
}

ROUTES = {
    "carrier": "Carrier",
    "supplier-defect": "Supplier warranty",
    "supplier-goods": "Supplier (short, wrong or packing)",
    "cargo-insurance": "Cargo insurance",
    "set-up": "Nobody (setup adjustment)",
    "own-handling": "Nobody (our own handling)",
    "nowhere": "No damage, no claim",
}

OUTCOMES = {
    "repair": "Repair",
    "total": "Total loss",
    "as-is": "Sold as is",
    "short": "Shortage",
}

CLAIMANTS = {"us": "We claim", "supplier": "The supplier claims"}

CLAIM_STATES = {
    "drafted": "Draft",
    "sent": "Sent, no proof of delivery",
    "received": "Received by carrier",
    "acknowledged": "Acknowledged",
    "offered": "Offer received",
    "countered": "Counter-offer sent",
    "accepted": "Offer accepted",
    "disallowed": "Declined in writing",
    "settled": "Settled",
    "not-pursued": "Not pursued",
    "handed-over": "Handed to the supplier",
    "withdrawing": "Withdrawn, letter not sent",
    "withdrawn": "Withdrawn",
}

INSPECTION_ENDS = {
    "made": "The carrier inspected",
    "waived": "The carrier waived the inspection in writing",
    "missed": "The carrier did not inspect in time",
}

PERMISSIONS = {
    "repair": "May repair",
    "packaging": "May discard the packaging",
    "salvage": "May dispose of the salvage",
}
"""The questions that a carrier answers in writing, each by itself."""

DENIAL_REASONS = {
    "clear-receipt": "Signed without exceptions",
    "packing": "Packing",
    "concealed": "Reported late or after delivery",
    "late-claim": "Claim filed late",
    "no-inspection": "No chance to inspect",
    "documents": "Closed for lack of documents",
    "salvage": "Salvage",
    "limit": "Limit of liability",
    "other": "Another reason",
}

PAYMENT_METHODS = {
    "check": "Check",
    "transfer": "Bank transfer (ACH or wire)",
    "card": "Card",
    "credit": "Carrier's credit against open freight bills",
    "other": "Other",
}

PAYMENT_DECISIONS = {
    "part": "Part payment: the claim stays open for the rest",
    "full": "Full payment: it settles the whole claim",
    "return": "Return it to the carrier",
    "ask": "Ask for one without the words",
    "deposited": "It was deposited by mistake",
    "repaid": "Repay it",
}

NOTICE_STATES = {
    "written": "Written",
    "sent": "Sent",
    "received": "Received",
}
"""A notice stores no state: it follows from the days on which it was sent and received."""

CLAIM_LETTER_STATES = {
    "confirmed": "Confirmed, not sent",
    "sent": "Sent, no proof of delivery",
    "received": "Received",
    "dropped": "Dropped, not sent",
}
"""A letter about a claim stores no state either."""

LETTER_PROOFS = {
    "signature": "Signature at delivery",
    "portal": "Portal's confirmation",
    "answer": "Written answer",
}

NOTICE_KINDS = {
    "concealed": "Notice of concealed damage and request for inspection",
    "protest": "Protest: exceptions missing from your POD",
    "shortage": "Notice of shortage",
    "supplier": "Damage notice to the supplier",
    "disposition": "Disposition request for refused crates",
}

SENT_HOW = {
    "email": "Email",
    "portal": "Carrier's claims portal",
    "post": "Certified mail",
    "courier": "Courier",
    "hand": "By hand",
    "phone": "Phone, confirmed in writing",
}

VALUE_BASES = {"destination": "Market value here", "invoice": "Invoice value"}
