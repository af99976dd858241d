"""The facts that only the claim file asks for, the working file, and counsel."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.packet import file_facts
from claims.actions.packet.file_facts import FileFacts
from claims.forms.packet.files import CounselForm, FileFactsForm
from claims.models import Claim
from claims.queries.packet.file_facts import claimed_units, initial_facts
from claims.queries.packet.working import argument_sheet, working_content
from claims.rules.damages.facts import DamagesError
from claims.views.core.claim_act import OneClaimAct
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.views.core.clock import today_at
from inventory.views.core.pdf_answers import answer_pdf


class StateFileFacts(OneClaimAct[FileFactsForm]):
    """State what the claim file says and no other page asks for."""

    permission = "build-packet"
    form_class = FileFactsForm
    title = "Facts for the claim file"
    lead = (
        "What you leave empty is not printed, or is taken from the record. Only what is "
        "true goes in: you sign for it."
    )

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | initial_facts(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"units": claimed_units(self.row)}

    def act(self, form: FileFactsForm) -> Answer:
        facts: FileFacts = form.facts()
        file_facts.state_file_facts(claim=self.row, facts=facts, step=self.step(form))
        page = reverse("build_packet", args=[self.row.pk])
        return self.done("Facts for the claim file saved.", page=page)


class RecordCounsel(OneClaimAct[CounselForm]):
    """Record which counsel asked for the opposing arguments; then they can be read."""

    permission = "decide"
    form_class = CounselForm
    template_name = "claims/packet/counsel.html"
    title = "Opposing arguments"
    lead = (
        "This sheet is made only at the request of counsel, and never goes into a "
        "claim file. Record who asked and when."
    )

    def get_initial(self) -> dict[str, Any]:
        claim = self.row
        said = {"name": claim.counsel_name, "on": claim.counsel_asked_on}
        return super().get_initial() | said

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row.location)}

    def act(self, form: CounselForm) -> Answer:
        data = form.cleaned_data
        file_facts.record_counsel(
            claim=self.row, name=data["name"], on=data["on"], step=self.step(form)
        )
        page = reverse("counsel", args=[self.row.pk])
        return self.done("The request of counsel is recorded.", page=page)


@require_safe
def working_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the working file as it is today. It is for us and is kept nowhere."""
    from claims.documents.packet_working import working_pdf  # noqa: PLC0415 - slow

    row = obtain(Claim.objects.all(), person_of(request), pk, "see-claims")
    try:
        content = working_content(row, as_of=today_at(row.location))
    except DamagesError as error:
        messages.error(request, str(error))
        return redirect("claim", row.pk)
    data = working_pdf(content)
    return answer_pdf(lambda: data, f"working-file-{row.number}.pdf")


@require_safe
def arguments(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the opposing arguments, where a counsel who asked for them is recorded."""
    from claims.documents.packet_working import arguments_pdf  # noqa: PLC0415 - slow

    row = obtain(Claim.objects.all(), person_of(request), pk, "decide")
    sheet = argument_sheet(row, as_of=today_at(row.location))
    if sheet is None:
        messages.error(
            request,
            "The opposing arguments are made only at the request of counsel. Record "
            "who asked and when. Nothing was made.",
        )
        return redirect("counsel", row.pk)
    data = arguments_pdf(sheet)
    return answer_pdf(lambda: data, f"opposing-arguments-{row.number}.pdf")
