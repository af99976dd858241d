"""The manager's setup lists: one a kind of machine, in versions."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.bench.setup_lists import make_list
from claims.forms.bench.setup_lists import SetupListForm, lines_shown
from claims.queries.bench.setup_lists import KindOfList, kind_of_list, list_kinds
from claims.rules.bench.list_edits import with_keys
from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.views.core.bar import Bar
from inventory.views.core.clock import now
from inventory.views.people.listed_act import ListedAct

ABOVE = ("Setup lists", "setup_lists")


@require_safe
def setup_lists(request: HttpRequest) -> HttpResponse:
    """List the kinds of machine with the version of their list that counts."""
    require_somewhere(person_of(request), "decide")
    context = {
        "kinds": list_kinds(),
        "bar": Bar(
            "Setup lists", back=reverse("bench"), back_words="Back to the bench"
        ),
        "crumbs": [("Bench", reverse("bench")), ("Setup lists", "")],
    }
    return render(request, "claims/bench/setup_lists.html", context)


class EditSetupList(ListedAct[KindOfList, SetupListForm]):
    """Make the next version of one kind's list; machines keep theirs until they take it."""

    permission = "decide"
    form_class = SetupListForm
    template_name = "claims/bench/setup_list.html"
    above = ABOVE
    lead = (
        "Machines whose setup has begun keep their version; the next one is offered to "
        "them. A safety line may be reworded and moved, never left out."
    )

    def check(self) -> None:
        require_somewhere(self.person, self.permission)

    def find_row(self) -> KindOfList:
        found = kind_of_list(self.kwargs["machine"])
        if found is None:
            raise Http404
        return found

    def get_title(self) -> str:
        return f"Setup list: {self.row.kind.label}"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "base": self.row.number or 1,
            "line": lines_shown(self.row.lines, self.row.out),
        }

    def act(self, form: SetupListForm) -> Answer:
        known = {line.key: line for line in (*self.row.lines, *self.row.out)}
        here = locations_of(self.person, self.permission).first()
        if here is None:
            raise RefusedError("You are assigned to no location. Nothing was saved.")
        row = make_list(
            person=self.person,
            at=now(),
            location=here,
            kind=self.row.kind.key,
            base=form.cleaned_data["base"],
            lines=with_keys(form.lines(known), self.row.used),
            reason=form.cleaned_data["reason"],
        )
        return self.done(
            f"{self.row.kind.label}: version {row.number} saved. Open setups are "
            "offered it.",
            row=row,
        )
