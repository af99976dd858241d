"""The setup of a machine: its page, its lines one by one, and its end."""

from datetime import datetime
from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.bench import setup_lists, setups, sign_offs
from claims.actions.bench.inspections import Subject, why_not_inspect
from claims.actions.bench.setup_sheets import StoredSheet
from claims.forms.bench.model_entries import ModelEntryForm, initial_of
from claims.forms.bench.setups import (
    BeginSetupForm,
    ReleaseUnsignedForm,
    SignOffForm,
)
from claims.queries.bench.model_entries import entry_of
from claims.queries.bench.releases import releases_of
from claims.queries.bench.setups import SetupPage, next_line, setup_page
from claims.queries.bench.sign_offs import verdict_of, why_not_sign
from claims.rules.bench.entries import adjuster_from, target_from
from claims.rules.bench.sign_off import SIGN_OFFS, may_stay_open
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Unit
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.bar import Bar
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)


def _units() -> QuerySet[Unit]:
    return Unit.objects.select_related("shipment__location", "crate__delivery")


@require_safe
def setup(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a machine's setup: what is not right, what is to do, what is done."""
    person = person_of(request)
    unit = obtain(_units(), person, pk, "see")
    page = setup_page(unit)
    here = unit.shipment.location_id
    may_inspect = may(person, here, "inspect")
    if page is None and may_inspect and not releases_of([unit])[unit.pk]:
        return redirect("begin_setup", pk=unit.pk)
    release = releases_of([unit])[unit.pk]
    today = today_at(unit.shipment.location)
    context = {
        "unit": unit,
        "page": page,
        "next_line": next_line(page) if page else None,
        "verdict": verdict_of(page, today=today) if page else None,
        "release": SIGN_OFFS.get(release, ""),
        "sign_off": unit.sign_offs.order_by("-pk").first(),
        "refusal": why_not_inspect(Subject(unit.shipment, unit=unit), "set-up"),
        "may_inspect": may_inspect,
        "may_decide": may(person, here, "decide"),
        "bar": Bar(
            unit.model,
            unit.serial,
            reverse("bench"),
            "Back to the bench",
            _more(
                unit, may_decide=may(person, here, "decide"), is_released=bool(release)
            ),
        ),
        "crumbs": [("Bench", reverse("bench")), (str(unit), "")],
    }
    return render(request, "claims/bench/setup.html", context)


def _more(
    unit: Unit, *, may_decide: bool, is_released: bool
) -> tuple[tuple[str, str], ...]:
    """Return the seldom acts of a setup's page."""
    found = [("The machine: findings, photos, history", "unit")]
    if may_decide:
        found.append(("Model entry: targets and adjusters", "enter_model"))
    if may_decide and not is_released:
        found.append(("Release without sign-off", "release_unsigned"))
    return tuple((words, reverse(name, args=[unit.pk])) for words, name in found)


class SetupAct(ActView[Unit, Form]):
    """A form about the setup of one machine."""

    permission = "inspect"
    back_words = "Back to the setup without saving"

    def get_queryset(self) -> QuerySet[Unit]:
        return _units()

    @cached_property
    def standing(self) -> SetupPage | None:
        """Return the machine's setup, or None before it began."""
        return setup_page(self.row)

    def get_back(self) -> str:
        return reverse("setup", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Bench", reverse("bench")), (str(self.row), self.get_back())]


class BeginSetup(SetupAct[BeginSetupForm]):
    """Begin the setup of a machine, or take the newer version of its list."""

    form_class = BeginSetupForm
    title = "Begin setup"
    lead = (
        "The list depends on the kind of machine. The machine keeps this version of it."
    )

    def get_initial(self) -> dict[str, Any]:
        entry = entry_of(self.row.model)
        kind = entry.kind if entry else ""
        if self.standing:
            kind = self.standing.setup.setup_list.kind
        return super().get_initial() | {"kind": kind}

    def get_refusal(self) -> str:
        return why_not_inspect(Subject(self.row.shipment, unit=self.row), "set-up")

    def get_back(self) -> str:
        return reverse("unit", args=[self.row.pk])

    def act(self, form: BeginSetupForm) -> Answer:
        setups.begin_setup(
            person=self.person, at=now(), unit=self.row, kind=form.cleaned_data["kind"]
        )
        page = reverse("setup", args=[self.row.pk])
        return self.done(f"Setup begun: {self.row}.", page=page)


class SignOffSetup(SetupAct[SignOffForm]):
    """Sign off a machine: complete, or complete with named open items."""

    form_class = SignOffForm
    template_name = "claims/bench/sign_off.html"
    title = "Sign off"

    signed_at: datetime
    """When the sheet was drawn: the moment that it states as the sign-off."""
    sheet: StoredSheet
    """The sheet as drawn before the act."""

    def get_row(self) -> Unit:
        self.row = super().get_row()
        if self.standing is None:
            raise Http404
        return self.row

    def get_refusal(self) -> str:
        return why_not_sign(self.standing) if self.standing else ""

    def get_form_kwargs(self) -> dict[str, Any]:
        rows = self.standing.lines if self.standing else ()
        return super().get_form_kwargs() | {
            "lines": [row.line for row in rows if may_stay_open(row.line, row.state)],
            "today": today_at(self.row.shipment.location),
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        today = today_at(self.row.shipment.location)
        verdict = verdict_of(self.standing, today=today) if self.standing else None
        return super().get_context_data(verdict=verdict, setup=self.standing, **more)

    def prepare(self, form: SignOffForm) -> None:
        self.signed_at = now()
        self.sheet = sign_offs.draw_sheet(
            person=self.person, at=self.signed_at, unit=self.row, items=form.items()
        )

    def act(self, form: SignOffForm) -> Answer:
        row = sign_offs.sign_off_setup(
            person=self.person,
            at=self.signed_at,
            unit=self.row,
            items=form.items(),
            sheet=self.sheet,
        )
        return self.done(f"Signed off: {self.row}. {row.get_state_display()}.")


class ReleaseUnsigned(SetupAct[ReleaseUnsignedForm]):
    """Release a machine without a sign-off, with the manager's reason."""

    permission = "decide"
    form_class = ReleaseUnsignedForm
    title = "Release without sign-off"
    lead = "The machine may then be sold though its setup is not signed off."

    def act(self, form: ReleaseUnsignedForm) -> Answer:
        sign_offs.release_unsigned(
            person=self.person, at=now(), unit=self.row, **form.cleaned_data
        )
        return self.done(f"Released: {self.row}.")


class EnterModel(SetupAct[ModelEntryForm]):
    """Enter what the maker's manual says of a machine's model."""

    permission = "decide"
    form_class = ModelEntryForm
    lead = (
        "Only figures of the maker's manual, each with its page. Readings taken before "
        "keep the verdict they had."
    )

    def get_title(self) -> str:
        return f"Model entry: {self.row.model}"

    def get_initial(self) -> dict[str, Any]:
        entry = entry_of(self.row.model)
        if entry is None:
            kind = self.standing.setup.setup_list.kind if self.standing else ""
            return super().get_initial() | {"kind": kind}
        return {
            **super().get_initial(),
            "kind": entry.kind,
            "manual": entry.manual,
            **initial_of(
                [target_from(one) for one in entry.targets],
                [adjuster_from(one) for one in entry.adjusters],
            ),
        }

    def act(self, form: ModelEntryForm) -> Answer:
        entry = setup_lists.make_entry(
            person=self.person,
            at=now(),
            location=self.row.shipment.location,
            model=self.row.model,
            kind=form.cleaned_data["kind"],
            manual=form.cleaned_data["manual"],
            targets=form.line_sets["target"].targets(),
            adjusters=form.line_sets["adjuster"].adjusters(),
        )
        return self.done(f"Saved: {entry}.", row=entry)
