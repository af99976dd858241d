"""The forms of crate returns that create a row or move money."""

from django.urls import reverse

from claims.forms.claim.way_home import ClaimReturnForm
from claims.models import Claim
from inventory.actions.returns.losses import lose_crate
from inventory.forms.deposits.deposits import UndoForm
from inventory.forms.returns.plans import ReturnCostsForm
from inventory.forms.returns.returns import (
    LoseCrateForm,
    MakeReturnForm,
    ReceiveReturnForm,
    ShipReturnForm,
    StageCratesForm,
)
from inventory.models import CrateReturn, Entry, Event, ReturnCosts, ReturnLine
from tests import making
from tests.creating import Creating
from tests.returning import AT, LEFT, begin, make_stage, shipped, stage


def new_return(who):
    return reverse("make_return"), {"supplier": making.make_supplier().pk}


def return_with_ready_crates(who):
    book = make_stage(who=who, crates=2)
    address = reverse("stage_crates", args=[begin(book).pk])
    return address, {"crates": [book.crates[0].pk]}


def staged_return(who):
    book = make_stage(who=who, crates=1)
    row = begin(book)
    stage(book, row)
    row.refresh_from_db()
    return reverse("ship_return", args=[row.pk]), {"version": row.version}


def shipped_return(who):
    row = shipped(make_stage(who=who, crates=1))
    row.refresh_from_db()
    return reverse("receive_return", args=[row.pk]), {"version": row.version}


def crate_shipped_back(who):
    line = shipped(make_stage(who=who, crates=1)).lines.get()
    return reverse("lose_crate", args=[line.pk]), {"version": line.version}


def crate_lost(who):
    line = shipped(make_stage(who=who, crates=1)).lines.get()
    lose_crate(
        line=line,
        version=line.version,
        lost_on=LEFT,
        reason="Not found.",
        person=who.abel,
        at=AT,
    )
    line.refresh_from_db()
    return reverse("find_lost", args=[line.pk]), {"version": line.version}


def crate_to_claim(who):
    address, _ = crate_lost(who)
    line = ReturnLine.objects.get(pk=int(address.rstrip("/").split("/")[-2]))
    address = reverse("claim_return", args=[line.crate_return_id])
    return address, {f"take_{line.pk}": "on"}


def costs(who):
    supplier = making.make_supplier()
    return reverse("set_return_costs", args=[who.riverside.pk, supplier.pk])


RETURNS = [
    Creating(
        name="a return",
        form=MakeReturnForm,
        sender="rosa",
        prepare=new_return,
        data={"appointment": "Dock 3 at ten"},
        other=("appointment", "Dock 4 at ten"),
        needed="supplier",
        counts=CrateReturn,
    ),
    Creating(
        name="crates of a return",
        form=StageCratesForm,
        sender="rosa",
        prepare=return_with_ready_crates,
        data={},
        other=("crates", "999999"),
        needed="crates",
        counts=ReturnLine,
    ),
    Creating(
        name="the shipping of a return",
        form=ShipReturnForm,
        sender="rosa",
        prepare=staged_return,
        data={
            "left_on": "2026-04-01",
            "billed_on": "2026-04-01",
            "how_signed": "signed",
            "driver_count": "1",
        },
        other=("driver_name", "Someone else"),
        needed="left_on",
        counts=Entry,
    ),
    Creating(
        name="the receipt of a return",
        form=ReceiveReturnForm,
        sender="rosa",
        prepare=shipped_return,
        data={"received_on": "2026-04-02"},
        other=("received_on", "2026-04-03"),
        needed="received_on",
        counts=Event,
    ),
    Creating(
        name="a crate lost in return transit",
        form=LoseCrateForm,
        sender="abel",
        prepare=crate_shipped_back,
        data={"lost_on": "2026-04-02", "reason": "Only two arrived."},
        other=("reason", "The carrier says so."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="the loss of a crate reversed",
        form=UndoForm,
        sender="abel",
        prepare=crate_lost,
        data={"effective_on": "2026-05-01", "reason": "It stood at the terminal."},
        other=("reason", "Another reason."),
        needed="reason",
        counts=Entry,
    ),
    Creating(
        name="a claim for a crate lost on the way home",
        form=ClaimReturnForm,
        sender="mina",
        prepare=crate_to_claim,
        data={"risk": "destination", "regime": "us-motor"},
        other=("pro_number", "4411-208"),
        needed="risk",
        counts=Claim,
    ),
    Creating(
        name="the cost of a truck",
        form=ReturnCostsForm,
        sender="mina",
        prepare=costs,
        data={
            "version": "1",
            "pickup_cents": "90.00",
            "per_crate_cents": "0",
            "yard_cents_per_day": "0.45",
        },
        other=("pickup_cents", "95.00"),
        needed="pickup_cents",
        counts=ReturnCosts,
    ),
]
