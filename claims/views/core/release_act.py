"""What releasing a hold has in common: the carrier's document, or photos."""

from collections.abc import Mapping
from typing import TypeVar

from django.db.models import Model, QuerySet

from inventory.actions.evidence.refiling import file_as
from inventory.forms.core.base import HouseForm
from inventory.models import Evidence
from inventory.views.core.act_view import ActView
from inventory.views.core.clock import now

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)

UNFILED = "other"
"""The kind of a photo that came before anybody said how the hold is released."""


class ReleaseAct(ActView[Row, Form]):
    """An act whose form says in ``how`` what the photos sent with it are."""

    kinds: Mapping[str, str]
    """The kind of the photos, by how the hold is released."""

    def get_row(self) -> Row:
        self.photo_kind = self.kinds.get(self.request.POST.get("how", ""), UNFILED)
        return super().get_row()

    def get_photo_rows(self) -> QuerySet[Evidence]:
        about = self.get_photo_about()
        if about is None:
            return Evidence.objects.none()
        return Evidence.objects.filter(
            recorded_by=self.person,
            kind__in=[*self.kinds.values(), UNFILED],
            **about.as_fields(),
        ).select_related(
            "original",
            "location",
            "delivery",
            "shipment",
            "crate_return",
            "crate",
            "unit",
        )

    def proof(self, form: Form) -> list[Evidence]:
        """Return the photos of the form, filed as what they now prove."""
        return file_as(
            person=self.person,
            at=now(),
            photos=form.cleaned_data["photos"],
            kind=self.photo_kind,
        )
