"""One line of a setup: read it, decide on it, record it as damage."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.bench import line_decisions, line_readings
from claims.actions.bench.inspections import Subject, why_not_inspect
from claims.actions.bench.line_readings import ImplausibleError
from claims.forms.bench.findings import FindingForm
from claims.forms.bench.setups import DecideForm, LineForm
from claims.queries.bench.line_drawings import Drawings, drawings_of
from claims.queries.bench.line_pages import line_page
from claims.queries.bench.machine_plans import kind_of
from claims.queries.bench.setup_lines import LineRead
from claims.queries.bench.setups import next_line, setup_page
from claims.rules.bench.cautions import DEFERS, cautions_beside
from claims.views.bench.setups import Form, SetupAct
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.models import Evidence, Unit
from inventory.views.core.clock import now, today_at


class _LineAct(SetupAct[Form]):
    """A form about one line of a machine's setup."""

    template_name = "claims/bench/read_line.html"
    photo_kind = "damage"

    read: LineRead
    """The line that the address names."""

    def get_row(self) -> Unit:
        self.row = super().get_row()
        found = self.standing.line(self.kwargs["line"]) if self.standing else None
        if found is None:
            raise Http404
        self.read = found
        return self.row

    @cached_property
    def drawings(self) -> Drawings:
        """Return the line's last readings as drawings."""
        return drawings_of(self.standing, self.read) if self.standing else Drawings()

    def get_photo_about(self) -> About:
        return Subject(self.row.shipment, unit=self.row).about

    def get_title(self) -> str:
        return self.read.line.label

    def get_context_data(self, **more: object) -> dict[str, Any]:
        shown = line_page(self.standing, self.read) if self.standing else None
        notice = shown.notice if shown else None
        today = today_at(self.row.shipment.location)
        return super().get_context_data(
            shown=shown,
            is_notice_late=notice is not None and notice.safe < today,
            drawings=self.drawings,
            line=self.read.line,
            cautions=cautions_beside(self.read.line),
            defers=DEFERS,
            setup=self.standing,
            **more,
        )


class ReadLine(_LineAct[LineForm]):
    """Read one line of the setup; the next one follows."""

    form_class = LineForm

    def get_form_kwargs(self) -> dict[str, Any]:
        setup = self.standing.setup if self.standing else None
        plan = setup.setup_list.kind if setup else ""
        return super().get_form_kwargs() | {
            "line": self.read.line,
            "plan": plan,
            "drawings": self.drawings,
        }

    def get_initial(self) -> dict[str, Any]:
        """Show what was set and is in range: only the others are read again."""
        again = self.drawings.points if self.read.is_to_set else {}
        right = {
            f"reading_{point}": one.text
            for point, one in again.items()
            if one.state == "right"
        }
        return super().get_initial() | right

    def get_lead(self) -> str:
        return self.read.line.hint

    def get_refusal(self) -> str:
        return why_not_inspect(Subject(self.row.shipment, unit=self.row), "set-up")

    def act(self, form: LineForm) -> Answer:
        try:
            row = line_readings.read_line(
                person=self.person,
                at=now(),
                unit=self.row,
                taken=form.taken(),
                photos=form.cleaned_data["photos"],
            )
        except ImplausibleError as error:
            form.ask_again(error.doubts)
            raise
        label = self.read.line.label
        after = setup_page(self.row)
        read = after.line(row.line) if after else None
        if read and read.is_to_set:
            page = reverse("read_line", args=[self.row.pk, row.line])
            return self.done(f"{row.sentence} Set it and read it again.", page=page)
        if row.result == "wrong":
            page = reverse("decide_line", args=[self.row.pk, row.line])
            return self.done(f"{label}: not right. {row.sentence}".strip(), page=page)
        following = next_line(after) if after else None
        page = self.get_back()
        if following:
            page = reverse("read_line", args=[self.row.pk, following.line.key])
        return self.done(f"{label} saved. {row.sentence}".strip(), page=page)


class DecideLine(_LineAct[DecideForm]):
    """Decide on a line that is not right: adjustment, or ask; damage is a finding."""

    form_class = DecideForm
    template_name = "claims/bench/decide_line.html"
    back_words = "Back to the setup"

    def get_title(self) -> str:
        return f"{self.read.line.label}: not right"

    def act(self, form: DecideForm) -> Answer:
        line_decisions.decide_line(
            person=self.person,
            at=now(),
            unit=self.row,
            line=self.read.line.key,
            **form.cleaned_data,
        )
        page = reverse("read_line", args=[self.row.pk, self.read.line.key])
        if form.cleaned_data["decision"] == "ask":
            return self.done("Saved. Ask the manager; the clock runs meanwhile.")
        return self.done("Saved: an adjustment. Adjust it, then measure.", page=page)


class RecordDamage(_LineAct[FindingForm]):
    """Record a line that is not right as damage: the finding is prefilled from it."""

    form_class = FindingForm
    template_name = "claims/bench/act.html"

    def get_title(self) -> str:
        return f"Record damage: {self.read.line.label}"

    def get_photo_rows(self) -> QuerySet[Evidence]:
        return Evidence.objects.filter(
            unit=self.row, original__media_type__startswith="image/"
        ).select_related("original", "location")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"plan": kind_of(self.row)}

    def get_initial(self) -> dict[str, Any]:
        signs = [sign for row in self.read.readings for sign in row.signs]
        return super().get_initial() | {
            "part": self.read.line.label,
            "damage_kind": signs[0] if signs else "",
            "places": [key for row in self.read.readings for key in row.places],
            "facts": line_decisions.facts_of(self.read),
        }

    def act(self, form: FindingForm) -> Answer:
        row = line_decisions.decide_line(
            person=self.person,
            at=now(),
            unit=self.row,
            line=self.read.line.key,
            decision="damage",
            words=form.finding_words(),
            photos=form.cleaned_data["photos"],
        )
        page = reverse("finding", args=[row.finding_id])
        number = row.finding.number if row.finding else ""
        return self.done(f"Finding {number} recorded.", page=page)
