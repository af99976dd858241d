"""How long records are kept, and the legal holds: the administrator's pages."""

import datetime as dt

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_administrator
from inventory.actions.core.once import Answer
from inventory.actions.people.legal_holds import lift_hold, place_hold
from inventory.forms.people.legal_holds import LiftHoldForm, PlaceHoldForm
from inventory.models import LegalHold
from inventory.queries.people.legal_holds import (
    last_act,
    legal_holds,
    one_legal_hold,
)
from inventory.rules.evidence.retention import (
    HOLD_LAW,
    KINDS,
    ender_of,
    keep_closed_house_until,
)
from inventory.rules.reckoning.moments import paper_time
from inventory.views.core.clock import now
from inventory.views.core.row_view import Row
from inventory.views.people.listed_act import Form, ListedAct


@require_safe
def retention(request: HttpRequest) -> HttpResponse:
    """Show how long each kind of record is kept, who may end it, and the holds."""
    require_administrator(person_of(request))
    rows = list(legal_holds())
    is_held = any(row.lifted_at is None for row in rows)
    last = last_act()
    last_on = (last.recorded_at if last else now()).date()
    context = {
        "kinds": [(kind, ender_of(kind, is_held=is_held)) for kind in KINDS],
        "holds": [_told(row) for row in rows],
        "is_held": is_held,
        "until": keep_closed_house_until(last_on, is_held=is_held),
        "hold_law": HOLD_LAW,
    }
    return render(request, "inventory/people/retention.html", context)


def _told(row: LegalHold) -> dict[str, object]:
    """Return a hold with its moments in words: it belongs to no dock's clock."""
    lifted = paper_time(row.lifted_at, dt.UTC) if row.lifted_at else ""
    return {
        "row": row,
        "placed": paper_time(row.placed_at, dt.UTC),
        "lifted": lifted,
    }


class _HoldAct(ListedAct[Row, Form]):
    """What the pages of legal holds have in common."""

    above = ("How long records are kept", "retention")

    def check(self) -> None:
        require_administrator(self.person)


class PlaceHold(_HoldAct[None, PlaceHoldForm]):
    """Place a legal hold over the whole house."""

    form_class = PlaceHoldForm
    title = "Place a legal hold"
    lead = (
        "Until it is lifted nobody may end a record, a log or a backup. "
        "Place one as soon as a suit is to be expected. Your lawyer knows when."
    )

    def find_row(self) -> None:
        return None

    def act(self, form: PlaceHoldForm) -> Answer:
        row = place_hold(
            person=self.person,
            at=now(),
            matter=form.cleaned_data["matter"],
            reason=form.cleaned_data["reason"],
        )
        words = (
            f"The legal hold on {row} stands. Tell whoever runs the machine: no backup "
            "and no log may be deleted."
        )
        return self.done(words, row=row)


class LiftHold(_HoldAct[LegalHold, LiftHoldForm]):
    """Lift a legal hold."""

    form_class = LiftHoldForm
    title = "Lift a legal hold"
    lead = "After this the usual spans count again, unless another hold stands."

    def find_row(self) -> LegalHold:
        return one_legal_hold(self.kwargs["pk"])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        return "This hold was lifted already." if self.row.lifted_at else ""

    def act(self, form: LiftHoldForm) -> Answer:
        lift_hold(
            person=self.person,
            at=now(),
            hold=self.row,
            reason=form.cleaned_data["reason"],
        )
        return self.done(f"The legal hold on {self.row} is lifted.")
