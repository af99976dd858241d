"""Labels of the stored values of the ground floor, as people read them."""

PIECE_UNITS = {
    "crate": "crate",
    "skid": "skid",
    "pallet": "pallet",
    "bundle": "bundle",
    "carton": "carton",
    "piece": "piece",
}

CARRIER_MODES = {
    "motor": "Motor carrier",
    "parcel": "Parcel carrier",
    "rail": "Rail",
    "ocean": "Ocean",
    "air": "Air",
    "supplier-truck": "Supplier's own truck",
    "broker": "Broker (arranges carriage, does not carry)",
}

REGIMES = {
    "us-motor": "US motor carriage, 2016 bill",
    "us-motor-older": "US motor carriage, older bill",
    "us-rail": "US rail",
    "us-intrastate": "US intrastate",
    "canada-road": "Canada, road",
    "cmr": "CMR, international road",
    "cogsa": "US ocean carriage (COGSA)",
    "hague-visby": "Ocean, Hague-Visby",
    "montreal": "Air, Montreal Convention",
    "cim": "International rail, CIM",
    "parcel": "Parcel carrier's own terms",
    "private": "Supplier's own truck",
}

DELIVERY_TERMS = {
    "origin": "FOB origin: our risk once the carrier has the goods",
    "destination": "FOB destination: the supplier's risk until delivered here",
    "unknown": "Not known",
}

DELIVERY_TERMS_QUOTED = {"origin": "FOB origin", "destination": "FOB destination"}
"""The same as an order writes them, for a letter that quotes and does not explain."""

FREIGHT_PAYERS = {
    "prepaid": "Prepaid by the supplier",
    "prepaid-billed": "Prepaid by the supplier and billed to us",
    "collect": "Collect: we pay the carrier",
    "third-party": "Third party pays",
    "unknown": "Not known",
}

YES_NO_UNKNOWN = {"yes": "Yes", "no": "No", "unknown": "Not known"}

UNLOADED_BY = {
    "us": "Our people",
    "driver": "The driver",
    "both": "Both",
    "lumper": "A lumper",
}

UNLOADED_WITH = {
    "forklift": "Forklift",
    "pallet-jack": "Pallet jack",
    "liftgate": "Liftgate",
    "hand": "By hand",
    "crane": "Crane or hoist",
}

SEAL_CONDITIONS = {
    "intact": "Seal intact",
    "broken": "Seal broken",
    "differs": "Number differs from the bill",
    "none": "No seal",
}

HOW_SIGNED = {
    "signed": "Signed with our exceptions",
    "handheld": "Signed on the driver's handheld, which took no exceptions",
    "bare": "Signed without our exceptions",
    "refused": "Driver refused to sign",
    "no-wait": "Driver would not wait",
    "dropped": "No driver present",
    "unattended": "No driver present (left with nobody at the dock)",
    "by-bill": "Bill by bill",
    "empties": "Took empties only, no freight",
}
"""How a delivery receipt ended. ``by-bill`` and ``empties`` are of a truck as a whole:
its bills ended differently, or there was none. ``unattended`` is no longer offered."""

BILL_ENDINGS = ("signed", "handheld", "bare", "refused", "no-wait", "dropped")
"""The six ways one bill's receipt may end, in the order of the page."""

OVER_ANSWERS = {
    "picked-up": "Picked up by the carrier",
    "left": "Left with us, by the carrier's letter",
}
"""What the carrier did about a piece that is over."""

NOT_INSPECTED = {
    "no-wait": "driver would not wait",
    "dark": "too dark to see",
    "wrapped": "covered, could not be seen",
    "not-unloaded": "not unloaded yet",
    "no-hands": "nobody free to inspect",
}
"""Why crates were not inspected, in the words of the receipt."""

WORDS_STAND_ON = {
    "both": "Both copies",
    "ours": "Our copy only",
    "carrier": "The carrier's copy only",
    "none": "Neither copy",
}

CARRIER_IMAGE = {
    "awaited": "POD not received",
    "matches": "Exceptions on the POD",
    "words-missing": "Exceptions missing from the POD",
}

CRATE_KINDS = {"reusable": "Reusable, on deposit", "one-way": "One-way"}

LOOKS = {
    "": "Not inspected",
    "clear": "No visible damage",
    "exception": "Exception",
    "refused": "Refused",
}

REFUSAL_REASONS = {
    "worthless": "Practically worthless",
    "unsafe": "Unsafe to unload",
    "not-ours": "Not ours",
    "standing-order": "Supplier's instruction",
    "leaking": "Leaking",
}
"""Why a crate was refused. ``leaking`` is no longer offered: it is kept or unsafe."""

REFUSALS_OFFERED = {
    key: label for key, label in REFUSAL_REASONS.items() if key != "leaking"
}

DISPOSITIONS = {
    "": "Not decided yet",
    "return": "Returned to the supplier",
    "carrier-sells": "Sold by the carrier",
    "reconsigned": "Reconsigned",
    "destroyed": "Destroyed",
}

MASS_UNITS = {"lb": "lb", "kg": "kg"}

UNIT_CONDITIONS = {"new": "New", "used": "Used"}
"""What a machine was when it was shipped."""

HOLD_RELEASES = {
    "inspected": "Inspected by the carrier",
    "waived": "Inspection waived in writing by the carrier",
    "manager": "Released by the manager",
}

STANDING_ORDERS = {
    "none": "No standing order",
    "accept": "Take with exceptions written",
    "refuse": "Refuse damaged crates",
}

SUPPLIER_PERIODS = {
    "damage": "Damage",
    "shortage": "Shortage",
    "wrong": "Wrong goods",
    "defect": "Defect",
}

PERIOD_UNITS = {
    "hours": "hours",
    "days": "days",
    "business-days": "business days",
    "weeks": "weeks",
    "months": "months",
    "years": "years",
}

PERIOD_STARTS = {
    "delivery": "delivery",
    "bill": "bill of lading date",
    "discovery": "discovery",
    "invoice": "invoice",
}

EVIDENCE_KINDS = {
    "load": "Load before unloading",
    "look": "Crate as delivered",
    "damage": "Damage close-up",
    "label": "Label or mark",
    "face": "Crate, one side",
    "inside": "Crate, inside",
    "blocking": "Blocking and bracing",
    "crate-check": "Crate parts, as checked",
    "opening": "As opened",
    "receipt": "Signed delivery receipt",
    "carrier-image": "Carrier's POD",
    "bill-of-lading": "Bill of lading",
    "packing-list": "Packing list",
    "freight-bill": "Freight bill",
    "freight-paid": "Proof of freight payment",
    "supplier-invoice": "Supplier's invoice",
    "inspection-report": "Carrier's inspection report",
    "inspection-waiver": "Carrier's waiver of inspection",
    "repair-estimate": "Repair estimate",
    "origin-condition": "Condition at origin",
    "non-receipt": "Certificate of non-receipt",
    "statement": "Technician's statement",
    "supplier-paper": "Supplier's assignment or authority",
    "proof-of-receipt": "Proof of delivery to them",
    "carrier-letter": "Letter from the carrier",
    "other": "Other",
}
