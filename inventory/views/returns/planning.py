"""The plan of a return that has not left: its crates, its changes, its end."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from inventory.access import obtain, person_of
from inventory.actions.returns import staging as acts
from inventory.forms.returns.returns import EditReturnForm, ReasonForm, StageCratesForm
from inventory.models import ReturnLine
from inventory.queries.returns.listing import ready_for
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import answer_act, posted
from inventory.views.returns.listing import page_about, return_of

_PLAN = ("carrier", "delivery", "planned_on", "authorization", "appointment")


@require_http_methods(["GET", "POST"])
def edit_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the plan of a return that has not left."""
    person = person_of(request)
    row = return_of(person, pk, "ship-crates")
    form = EditReturnForm(
        posted(request),
        location=row.location,
        today=today_at(row.location),
        initial={name: getattr(row, name) for name in (*_PLAN, "version")},
    )

    def act() -> HttpResponse:
        acts.change_return(
            crate_return=row, person=person, at=now(), **form.cleaned_data
        )
        messages.success(request, f"The plan of {row} is saved.")
        return redirect("crate_return", row.pk)

    return answer_act(request, form, page_about(row, "Plan of the return"), act)


@require_http_methods(["GET", "POST"])
def stage_crates(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose crates that are ready, and stage them on the return."""
    person = person_of(request)
    row = return_of(person, pk, "ship-crates")
    ready = ready_for(row.location, row.supplier)
    form = StageCratesForm(posted(request), ready=ready)

    def act() -> HttpResponse:
        chosen = form.cleaned_data["crates"]
        acts.stage_crates(crate_return=row, crates=chosen, person=person, at=now())
        count = len(chosen)
        messages.success(
            request, f"{count} crate{'' if count == 1 else 's'} staged on {row}."
        )
        return redirect("crate_return", row.pk)

    lead = (
        "Crates that are checked, here, and not on hold."
        if ready
        else f"No crate of {row.supplier} is ready. Empty and check crates first."
    )
    page = replace(
        page_about(row, "Stage crates", lead),
        template="inventory/returns/stage_crates.html",
        more={"ready": ready},
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def take_off_crate(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one crate off a return that has not left."""
    person = person_of(request)
    rows = ReturnLine.objects.select_related(
        "crate_return__location", "crate_return__supplier", "crate"
    )
    line = obtain(rows, person, pk, "ship-crates")
    home = line.crate_return
    form = ReasonForm(
        posted(request), act="Take it off", initial={"version": line.version}
    )

    def act() -> HttpResponse:
        acts.take_off(line=line, person=person, at=now(), **form.cleaned_data)
        messages.success(request, f"{line.crate} is off {home}.")
        return redirect("crate_return", home.pk)

    page = page_about(home, f"Take {line.crate} off")
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def cancel_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel a return that has not left; its crates stand in the yard again."""
    person = person_of(request)
    row = return_of(person, pk, "ship-crates")
    form = ReasonForm(
        posted(request), act="Cancel the return", initial={"version": row.version}
    )

    def act() -> HttpResponse:
        acts.cancel_return(
            crate_return=row, person=person, at=now(), **form.cleaned_data
        )
        messages.success(request, f"{row} is cancelled. Its crates are ready again.")
        return redirect("crate_return", row.pk)

    return answer_act(request, form, page_about(row, "Cancel this return"), act)
