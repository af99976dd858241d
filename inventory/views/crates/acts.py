"""Acts on one crate: its type, emptied, checked, scrapped, disposed of."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.urls import reverse

from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.crates import checks as crate_checks
from inventory.actions.crates import life as crate_life
from inventory.actions.crates.life import decide_act, why_not_dispose
from inventory.actions.evidence.photo_facts import About
from inventory.addresses import address_of
from inventory.forms.core.base import HouseForm
from inventory.forms.crates.life import (
    CheckCrateForm,
    CrateTypeOfForm,
    DisposeCrateForm,
    ScrapCrateForm,
)
from inventory.models import Crate, CratePart
from inventory.rules.crates.takedown import CAUTIONS, DEFERS, FOR_THE_CREDIT
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now
from inventory.views.core.row_view import ButtonAct, RowView

Form = TypeVar("Form", bound=HouseForm)


class _OneCrate(RowView[Crate]):
    """The crate of the address, for those who keep crates."""

    permission = "keep-crates"

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related(
            "shipment__location", "shipment__supplier", "delivery", "crate_type"
        )

    def get_back(self) -> str:
        return address_of(self.row)


class _CrateAct(_OneCrate, ActView[Crate, Form]):
    """What the pages below have in common."""

    back_words = "Back to the crate without saving"

    def get_kicker(self) -> str:
        return str(self.row)

    def get_crumbs(self) -> Crumbs:
        return [("Crates", reverse("crates")), (str(self.row), self.get_back())]


class SetCrateType(_CrateAct[CrateTypeOfForm]):
    """Set the crate type."""

    form_class = CrateTypeOfForm
    title = "Set the crate type"

    def get_lead(self) -> str:
        supplier = self.row.shipment.supplier
        if supplier is None:
            return (
                "The freight bill has no supplier yet, so no type can be chosen. "
                "Complete the paperwork of the freight bill first."
            )
        if not supplier.crate_types.exists():
            return (
                f"{supplier} has no crate type yet. The manager or accounting can add one "
                "on the supplier's crates page."
            )
        return "The type sets its parts list and takedown instructions."

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"crate_type": self.row.crate_type_id}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"supplier": self.row.shipment.supplier}

    def act(self, form: CrateTypeOfForm) -> Answer:
        crate_life.set_crate_type(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"{self.row} saved as type {form.cleaned_data['crate_type']}.")


class EmptyCrate(_OneCrate, ButtonAct[Crate]):
    """Record that the machine is out of the crate."""

    def act(self) -> Answer:
        crate_life.empty_crate(person=self.person, at=now(), crate=self.row)
        return self.done(f"{self.row} recorded as empty. Check it next.")


class CheckCrate(_CrateAct[CheckCrateForm]):
    """Take the crate apart by its instructions and count its parts."""

    form_class = CheckCrateForm
    template_name = "inventory/crates/check_crate.html"
    back_words = "Back to the crate without a check"
    photo_kind = "crate-check"

    def get_title(self) -> str:
        row = self.row
        return f"Take apart and check {row if row.mark else str(row).lower()}"

    def get_kicker(self) -> str:
        return str(self.row.crate_type or "Type not known yet")

    def get_refusal(self) -> str:
        return _why_not_check(self.row)

    def get_photo_about(self) -> About:
        row = self.row
        return About(delivery=row.delivery, shipment=row.shipment, crate=row)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"parts": _parts_of(self.row)}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(
            crate=self.row,
            cautions=CAUTIONS,
            for_the_credit=FOR_THE_CREDIT,
            defers=DEFERS,
            **more,
        )

    def act(self, form: CheckCrateForm) -> Answer:
        check = crate_checks.check_crate(
            person=self.person,
            at=now(),
            crate=self.row,
            found=form.found(),
            note=form.cleaned_data["note"],
            version=form.cleaned_data["version"],
        )
        photos = len(form.cleaned_data["photos"])
        saved = f" {photos} photo{'' if photos == 1 else 's'} saved." if photos else ""
        result = check.get_result_display().lower()
        return self.done(f"{self.row} checked: {result}.{saved}")


class ScrapCrate(_CrateAct[ScrapCrateForm]):
    """Scrap a reusable crate, with the reason."""

    form_class = ScrapCrateForm
    title = "Scrap the crate"
    lead = (
        "A scrapped crate gets no credit: accounting forfeits its deposit. If only "
        "parts are missing, returning it as it is may still get part of the credit."
    )

    def act(self, form: ScrapCrateForm) -> Answer:
        crate_life.scrap_crate(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"{self.row} scrapped. Accounting forfeits its deposit.")


class DisposeCrate(_CrateAct[DisposeCrateForm]):
    """Record what became of a one-way crate."""

    form_class = DisposeCrateForm
    title = "What became of it"

    def get_lead(self) -> str:
        return why_not_dispose(self.row).removesuffix(" Nothing was changed.")

    def act(self, form: DisposeCrateForm) -> Answer:
        crate = crate_life.dispose_crate(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"{crate} recorded: {crate.get_disposal_display().lower()}.")


def _parts_of(row: Crate) -> list[CratePart]:
    return list(row.crate_type.parts.order_by("pk")) if row.crate_type else []


def _why_not_check(row: Crate) -> str:
    if row.crate_type is None:
        return "Set the crate type first: the parts list depends on it. Nothing was changed."
    try:
        decide_act(row, "check", "complete")
    except RefusedError as error:
        return str(error)
    return ""
