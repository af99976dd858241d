"""The kinds of list that can come from a file: their columns, their rights, a template.

The first row of a file names the columns in the words of the forms. The templates'
rows are invented.
"""

from inventory.rules.core.registry import Registry
from inventory.rules.imports.list_kind import ListKind
from inventory.rules.imports.money_kinds import EXPECTED_CREDITS, OPENING_DEPOSITS

CARRIERS = ListKind(
    key="carriers",
    title="Carriers",
    noun="carrier",
    right="keep-partners",
    columns={
        "name": "Name",
        "legal_name": "Legal name",
        "usdot_number": "USDOT number",
        "scac": "SCAC",
        "mode": "Mode",
        "claims_address": "Address for claims",
        "claims_email": "Email for claims",
        "claims_phone": "Phone for claims",
        "terminal_email": "Email of its terminal",
        "terminal_phone": "Phone of its terminal",
        "mail_days": "Mail time in business days",
    },
    needed=("name",),
    same_by=("name",),
    signed=frozenset({"claims_phone", "terminal_phone"}),
    example={
        "name": "Heron Haulage",
        "scac": "HRNH",
        "mode": "Motor carrier",
        "claims_address": "Box 12, Omaha, NE 68101",
        "claims_email": "claims@heron.example",
        "mail_days": "5",
    },
    lead="Who brings the freight, and where a claim goes.",
)

SUPPLIERS = ListKind(
    key="suppliers",
    title="Suppliers",
    noun="supplier",
    right="keep-partners",
    columns={
        "name": "Name",
        "address": "Address",
        "claims_contact": "Contact for damage",
        "claims_email": "Email for damage",
        "returns_email": "Email for returns",
        "standing_order": "Standing order for damaged crates",
        "crate_terms": "Crate terms, as written",
    },
    needed=("name",),
    same_by=("name",),
    example={
        "name": "Teal Tillage Works",
        "claims_email": "damage@teal.example",
        "returns_email": "returns@teal.example",
    },
    lead="Who ships the machines and owns the crates.",
)

PEOPLE = ListKind(
    key="people",
    title="People",
    noun="person",
    right="",
    columns={
        "full_name": "Full name",
        "username": "Sign-in name",
        "email": "Email",
        "phone": "Phone",
        "location": "Location",
        "roles": "Roles",
    },
    needed=("full_name", "username"),
    same_by=("username",),
    signed=frozenset({"phone"}),
    example={
        "full_name": "Ines Farrow",
        "username": "ines",
        "email": "ines@dealer.example",
        "roles": "Receiving clerk; Technician",
    },
    lead="Who works here, where, and in which role. No passwords: give each their first "
    "password from the list of people.",
)

CRATE_TYPES = ListKind(
    key="crate-types",
    title="Crate types",
    noun="crate type",
    right="keep-terms",
    columns={
        "supplier": "Supplier",
        "name": "Name",
        "code": "Supplier's code",
        "build": "Build",
        "kept_by": "How the supplier tracks it",
        "grai": "GRAI of the type",
        "size_unit": "Unit of size",
        "length": "Length",
        "width": "Width",
        "height": "Height",
        "nested_height": "Height when folded or nested",
        "tare_weight": "Empty weight",
        "weight_unit": "Unit of weight",
        "freight_class": "Freight class",
        "most_stacked": "Stack height in crates",
        "takedown": "Takedown instructions",
        "parts": "Parts list",
    },
    needed=("supplier", "name"),
    same_by=("supplier", "name"),
    example={
        "supplier": "Teal Tillage Works",
        "name": "Wheel crate",
        "build": "Steel frame",
        "length": "96",
        "width": "48",
        "height": "40 1/2",
        "tare_weight": "310",
        "parts": "Side panel: 4; Base: 1; Hardware bag: 1",
    },
    lead="The crates that a supplier lends, each with its parts list.",
)

CRATE_TERMS = ListKind(
    key="crate-terms",
    title="Crate terms",
    noun="set of terms",
    right="keep-terms",
    columns={
        "supplier": "Supplier",
        "starts_on": "In force from",
        "source": "Source",
        "currency": "Currency",
        "rates": "Deposits by crate type",
        "clock_starts": "Days count from",
        "clock_stops": "Days count to",
        "full_days": "Full credit through day",
        "includes_last_day": "The last day is included",
        "decline": "After that",
        "steps": "Steps",
        "ends_day": "No credit after day",
        "ceiling": "Maximum deduction in percent of the deposit",
        "return_freight": "Return freight",
        "minimum_per_pickup": "Minimum crates per pick-up",
        "needs_authorization": "Return authorization required",
        "needs_appointment": "Appointment required",
        "transit_days": "Transit days",
        "unloading_days": "Unloading days",
        "memo_days": "Days from receiving a crate to the credit memo",
    },
    needed=("supplier", "starts_on", "source", "currency", "rates", "full_days"),
    same_by=("supplier", "starts_on"),
    days=frozenset({"starts_on"}),
    example={
        "supplier": "Teal Tillage Works",
        "starts_on": "2026-01-01",
        "source": "Crate program of 2026, page 2",
        "currency": "USD",
        "rates": "Wheel crate: 185.00",
        "full_days": "60",
        "decline": "In steps",
        "steps": "60: 80; 90: 50",
        "ends_day": "120",
        "includes_last_day": "Yes",
    },
    lead="What a supplier's deposits earn, one row for each date on which terms begin. "
    "Import the crate types first.",
)

MACHINES = ListKind(
    key="machines",
    title="Machines",
    noun="machine",
    right="complete-papers",
    columns={
        "carrier": "Carrier",
        "pro_number": "PRO number",
        "model": "Model",
        "serial": "Serial",
        "engine_serial": "Engine serial",
        "weight": "Weight",
        "weight_unit": "Unit of weight",
    },
    needed=("carrier", "pro_number", "model", "serial"),
    same_by=("carrier", "pro_number", "serial"),
    example={
        "carrier": "Heron Haulage",
        "pro_number": "88-104417",
        "model": "Tiller 40",
        "serial": "TT40-0177",
        "weight": "1240",
        "weight_unit": "lb",
    },
    lead="Machines with their serials, on freight bills that are recorded already.",
    is_at_location=True,
)

OWN = (
    CARRIERS,
    SUPPLIERS,
    PEOPLE,
    MACHINES,
    CRATE_TYPES,
    CRATE_TERMS,
    OPENING_DEPOSITS,
    EXPECTED_CREDITS,
)

KINDS: Registry[str, ListKind] = Registry(
    "kinds of list", {one.key: one for one in OWN}
)
"""Every kind by its key, in the order in which a new house needs them."""
