"""The words of the ground floor: each stored value with the label people read."""

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
    "broker": "Broker (arranges, does not carry)",
}

REGIMES = {
    "us-motor": "US motor carriage, 2016 bill",
    "us-motor-older": "US motor carriage, older bill",
    "us-rail": "US rail",
    "us-intrastate": "US, inside one state",
    "canada-road": "Canada, road",
    "cmr": "CMR, international road",
    "cogsa": "US ocean carriage (COGSA)",
    "hague-visby": "Ocean, Hague-Visby",
    "montreal": "Air, Montreal Convention",
    "cim": "International rail, CIM",
    "parcel": "Parcel, by its own terms",
    "private": "Supplier's own truck",
}

DELIVERY_TERMS = {
    "origin": "FOB origin: the risk is ours once the carrier has it",
    "destination": "FOB destination: the risk is the supplier's until it is here",
    "unknown": "Not known yet",
}

FREIGHT_PAYERS = {
    "prepaid": "Prepaid by the supplier",
    "prepaid-billed": "Prepaid by the supplier and billed on to us",
    "collect": "Collect: we pay the carrier",
    "third-party": "A third party pays",
    "unknown": "Not known yet",
}

YES_NO_UNKNOWN = {"yes": "Yes", "no": "No", "unknown": "Not known"}

UNLOADED_BY = {"us": "Our people", "driver": "The driver", "both": "Both together"}

HOW_SIGNED = {
    "signed": "Driver signed with our words",
    "refused": "Driver would not sign our words",
    "dropped": "Trailer was dropped, no driver to sign",
    "unattended": "Left here with nobody on the dock",
}

WORDS_STAND_ON = {
    "both": "Both copies",
    "ours": "Our copy only",
    "carrier": "The carrier's copy only",
    "none": "Neither copy",
}

CARRIER_IMAGE = {
    "awaited": "Not seen yet",
    "matches": "Our words are on it",
    "words-missing": "Our words are missing from it",
}

CRATE_KINDS = {"reusable": "Reusable, on deposit", "one-way": "One-way"}

LOOKS = {
    "": "Not looked at yet",
    "clear": "Clear",
    "exception": "Exception",
    "refused": "Refused",
}

REFUSAL_REASONS = {
    "worthless": "Nothing in it can be saved",
    "not-ours": "It is not ours",
    "leaking": "It is leaking",
    "unsafe": "It cannot be unloaded safely",
    "standing-order": "The supplier's standing order says refuse",
}

DISPOSITIONS = {
    "": "Nobody has said yet",
    "return": "Goes back to the supplier",
    "carrier-sells": "The carrier sells it",
    "reconsigned": "Sent on to someone else",
    "destroyed": "Destroyed",
}

MASS_UNITS = {"lb": "lb", "kg": "kg"}

HOLD_RELEASES = {
    "inspected": "The carrier has inspected",
    "waived": "The carrier waived inspection in writing",
    "manager": "Released by the manager",
}

STANDING_ORDERS = {
    "none": "No standing order",
    "accept": "Accept with exceptions written",
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
    "bill": "date of the bill",
    "discovery": "discovery",
    "invoice": "invoice",
}

EVIDENCE_KINDS = {
    "load": "Load before anything moved",
    "look": "Crate as it stood",
    "damage": "Damage, close",
    "label": "Label or mark",
    "face": "Crate, one face",
    "inside": "Crate, inside",
    "blocking": "Blocking and bracing",
    "crate-check": "Crate parts as checked",
    "opening": "As it was opened",
    "receipt": "Signed delivery receipt",
    "carrier-image": "Carrier's image of the receipt",
    "bill-of-lading": "Bill of lading",
    "packing-list": "Packing list",
    "freight-bill": "Freight bill",
    "freight-paid": "Proof that the freight was paid",
    "supplier-invoice": "Supplier's invoice",
    "inspection-report": "Carrier's inspection report",
    "inspection-waiver": "Carrier's waiver of inspection",
    "repair-estimate": "Repair estimate",
    "origin-condition": "Condition at origin",
    "non-receipt": "Certificate of non-receipt",
    "proof-of-receipt": "Proof that they received it",
    "carrier-letter": "Letter from the carrier",
    "other": "Something else",
}
