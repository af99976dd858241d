"""Lists that came from files: one stands, one was undone; a person from a list."""

from claims.actions.claim.bringing_in import Told, prove_delivery
from claims.actions.claim.steps import Step
from claims.models import Claim
from inventory.actions.core.sent_documents import store_document
from inventory.actions.crates.terms import TermsTold
from inventory.actions.imports.taking import ListTold, take_list
from inventory.actions.imports.undoing import undo_import
from inventory.actions.people.people import give_first_password
from inventory.models import Carrier, Shipment, Supplier, User
from inventory.rules.deposits.terms import Terms


def tell_more_lists(t):
    """Bring in suppliers and a person, and carriers that are undone again."""
    _take(t, "suppliers", {"name": "Millrace Mowers"})
    ines = {"username": "ines", "full_name": "Ines Farrow", "assigned": set()}
    _take(t, "people", {**ines, "email": "ines@dealer.example", "phone": ""})
    give_first_password(
        person=t.cast.people["ada"],
        at=t.moment(t.ago(28), 9),
        who=User.objects.get(username="ines"),
        version=1,
        password="kraft-and-stencil",
    )
    mower = Supplier.objects.get(name="Millrace Mowers")
    _take(t, "crate-types", {"supplier": mower, "name": "Mower crate"})
    terms = _take(t, "crate-terms", _terms(t, mower))
    undo_import(
        person=t.cast.people["ada"],
        at=t.moment(t.ago(29), 9),
        list_import=terms,
        version=1,
        reason="The terms of another year.",
    )
    bill = Shipment.objects.filter(location=t.location).order_by("pk")[0]
    machine = {"shipment": bill, "model": "Mower 60", "serial": "MM60-0101"}
    _take(t, "machines", machine, location=t.location)
    _take(t, "opening-deposits", _opening(t, mower), location=t.location)
    _take(t, "expected-credits", _credit(t, mower), location=t.location)
    _take(t, "open-claims", _claim(t), location=t.location)
    told = Claim.objects.get(opened_elsewhere=True)
    prove_delivery(
        claim=told,
        on=t.ago(117),
        proof="The carrier's POD",
        step=Step(t.cast.people["mina"], t.moment(t.ago(29), 9), t.ago(29), 1),
    )
    wrong = _take(t, "carriers", {"name": "Gannet Freihgt"})
    undo_import(
        person=t.cast.people["ada"],
        at=t.moment(t.ago(29), 10),
        list_import=wrong,
        version=1,
        reason="The names were misspelled.",
    )


def _terms(t, supplier):
    told = TermsTold(
        starts_on=t.ago(300),
        currency="USD",
        rule=Terms(
            clock_starts="invoice", clock_stops="receipt", full_days=60, memo_days=30
        ),
        source="Crate program, page 2",
        rates={supplier.crate_types.get().pk: 18_500},
        deductions={},
    )
    return {"supplier": supplier, "told": told}


def _opening(t, supplier):
    return {
        "location": t.location,
        "supplier": supplier,
        "invoice_number": "MM-7",
        "line_number": 1,
        "invoiced_on": t.ago(60),
        "opened_on": t.ago(5),
        "crate_type": None,
        "count": 2,
        "amount_cents": 9_000,
        "currency": "USD",
        "marks": [],
    }


def _credit(t, supplier):
    return {
        "location": t.location,
        "supplier": supplier,
        "bill_number": "R-2207",
        "shipped_on": t.ago(70),
        "reference": "RMA 5512",
        "crate_type": None,
        "count": 1,
        "amount_cents": 14_800,
        "currency": "USD",
        "marks": ["MM-388"],
        "opened_on": t.ago(5),
    }


def _claim(t):
    told = Told(
        billed_on=t.ago(120),
        delivered_on=t.ago(117),
        filed_on=t.ago(100),
        filed_proof="Certified mail 7019",
        declined_on=t.ago(40),
        note="Hood and fender.",
    )
    return {
        "location": t.location,
        "carrier": Carrier.objects.order_by("pk")[0],
        "pro_number": "88-1190",
        "told": told,
        "carrier_claim_number": "HC-20441",
        "claimed_cents": 184_000,
        "currency": "USD",
        "received": [(t.ago(60), 30_000)],
    }


def _take(t, kind, fields, location=None):
    made, _is_new = take_list(
        person=t.cast.people["ada"],
        at=t.moment(t.ago(30), 9),
        stored=store_document(f"{kind} of the first day".encode()),
        told=ListTold(
            kind=kind,
            location=location,
            file_name=f"{kind}.csv",
            media_type="text/csv",
            rows=[(2, fields)],
            there=0,
            refused=1,
        ),
    )
    return made
