"""Replaced parts: their list, the tag of each, its paper, and how its keeping ends."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.bench import part_tags as acts
from claims.forms.bench.part_tags import (
    CollectPartForm,
    ScrapPartForm,
    TagPartForm,
    WaivePartForm,
)
from claims.models import Finding, PartTag
from claims.queries.bench.part_tags import (
    label_of,
    row_of,
    tag_list,
    tags_joined,
)
from claims.rules.bench.holds import WAIVER_KIND
from claims.rules.bench.part_tags import KEEP
from claims.rules.core.event_kinds import CLAIM_KINDS
from inventory.access import may, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.forms.core.base import HouseForm
from inventory.models import Evidence
from inventory.queries.core.history import story_of
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf

Form = TypeVar("Form", bound=HouseForm)


def _crumbs() -> Crumbs:
    return [("Bench", reverse("bench")), ("Replaced parts", reverse("part_tags"))]


@require_safe
def part_tags(request: HttpRequest) -> HttpResponse:
    """List the replaced parts: what may be scrapped now, what is kept, what is gone."""
    person = person_of(request)
    require_somewhere(person, "see")
    context = {
        "tags": tag_list(person),
        "keep": KEEP,
        "crumbs": [_crumbs()[0], ("Replaced parts", "")],
    }
    return render(request, "claims/bench/part_tags.html", context)


@require_safe
def part_tag(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one replaced part: what it is of, where it is, whether it must be kept."""
    person = person_of(request)
    tag = obtain(tags_joined(), person, pk, "see")
    here = tag.location_id
    context = {
        "tag": tag,
        "row": row_of(tag),
        "is_here": tag.collected_on is None and tag.scrapped_at is None,
        "may_inspect": may(person, here, "inspect"),
        "may_waive": may(person, here, "release-hold"),
        "may_see_claims": may(person, here, "see-claims"),
        "story": story_of([tag], tag.location, leave_out=CLAIM_KINDS),
        "crumbs": [*_crumbs(), (str(tag), "")],
    }
    return render(request, "claims/bench/part_tag.html", context)


@require_safe
def part_tag_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the tag to print and tie to the part."""
    tag = obtain(tags_joined(), person_of(request), pk, "see")

    def give() -> bytes:
        from claims.documents.part_tag import part_tag_pdf  # noqa: PLC0415 - draws

        return part_tag_pdf(label_of(tag), made_on=tag.tagged_on)

    return answer_pdf(give, f"tag-T-{tag.number:04d}.pdf")


class TagPart(ActView[Finding, TagPartForm]):
    """Tag a part that was replaced to repair the damage of a finding."""

    permission = "inspect"
    form_class = TagPartForm
    title = "Tag a replaced part"
    lead = KEEP
    back_words = "Back to the finding without saving"

    def get_queryset(self) -> QuerySet[Finding]:
        return Finding.objects.select_related(
            "shipment__location", "unit"
        ).prefetch_related("parts")

    def get_row(self) -> Finding:
        self.row = super().get_row()
        if self.row.unit is None:
            raise Http404
        return self.row

    def get_kicker(self) -> str:
        return str(self.row)

    def get_back(self) -> str:
        return reverse("finding", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [
            ("Bench", reverse("bench")),
            (f"Finding {self.row.number}", self.get_back()),
        ]

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET.get("part", "")
        named = {str(part.pk): part.description for part in self.row.parts.all()}
        return super().get_initial() | {"part": named.get(asked, "")}

    def act(self, form: TagPartForm) -> Answer:
        tag = acts.tag_part(
            person=self.person, at=now(), finding=self.row, **form.cleaned_data
        )
        page = reverse("part_tag", args=[tag.pk])
        return self.done(f"{tag}: print its tag and tie it on.", row=tag, page=page)


class _TagAct(ActView[PartTag, Form]):
    """An act on the tagged part of the address."""

    permission = "inspect"
    back_words = "Back to the part without saving"

    def get_queryset(self) -> QuerySet[PartTag]:
        return tags_joined()

    def get_kicker(self) -> str:
        return str(self.row)

    def get_back(self) -> str:
        return reverse("part_tag", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [*_crumbs(), (str(self.row), self.get_back())]


class WaivePart(_TagAct[WaivePartForm]):
    """Record the carrier's written waiver, with the document."""

    permission = "release-hold"
    form_class = WaivePartForm
    title = "Carrier waived it"
    lead = "After that the part may be scrapped."
    photo_kind = WAIVER_KIND

    def get_photo_about(self) -> About:
        return About(shipment=self.row.unit.shipment, unit=self.row.unit)

    def get_photo_rows(self) -> QuerySet[Evidence]:
        return Evidence.objects.filter(
            shipment=self.row.unit.shipment, kind=WAIVER_KIND
        ).select_related("original", "location")

    def act(self, form: WaivePartForm) -> Answer:
        acts.waive_part(
            person=self.person,
            at=now(),
            tag=self.row,
            version=form.cleaned_data["version"],
            waiver=form.cleaned_data["photos"][0],
        )
        return self.done(f"Waiver recorded: {self.row}.")


class CollectPart(_TagAct[CollectPartForm]):
    """Record that the carrier collected the part."""

    form_class = CollectPartForm
    title = "Carrier collected it"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row.location)}

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"on": today_at(self.row.location)}

    def act(self, form: CollectPartForm) -> Answer:
        acts.collect_part(
            person=self.person, at=now(), tag=self.row, **form.cleaned_data
        )
        return self.done(f"Collected: {self.row}.")


class ScrapPart(_TagAct[ScrapPartForm]):
    """Scrap the part, once nobody can ask for it any more."""

    form_class = ScrapPartForm
    title = "Scrap the part"
    lead = "It cannot be undone."

    def get_refusal(self) -> str:
        row = row_of(self.row)
        return "" if row.verdict.allowed else row.why

    def act(self, form: ScrapPartForm) -> Answer:
        acts.scrap_part(
            person=self.person,
            at=now(),
            tag=self.row,
            version=form.cleaned_data["version"],
        )
        return self.done(f"Scrapped: {self.row}.")
