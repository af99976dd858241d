"""One page for one act: a form, one call, and the refusals back on the form."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render

from inventory.actions.evidence import BadUploadError
from inventory.actions.versions import RefusedError, StaleRowError
from inventory.forms.base import HouseForm


@dataclass(frozen=True)
class ActPage:
    """What stands around the form: title, a sentence, the way back, the row acted on.

    ``facts`` are shown beside the form as label and words. ``template`` may be
    another page that includes the form.
    """

    title: str
    back: str
    back_words: str
    lead: str = ""
    row: Model | None = None
    facts: tuple[tuple[str, str], ...] = ()
    is_late: bool = False
    template: str = "claims/act.html"
    more: dict[str, object] = field(default_factory=dict)


def answer_act(
    request: HttpRequest,
    form: HouseForm,
    page: ActPage,
    act: Callable[[], str],
) -> HttpResponse:
    """Show the form, or run the act on a valid one and go back.

    ``act`` returns the sentence that says what was done. What it refuses is put on
    the form, with all that was typed, as 422.
    """
    if request.method == "POST" and form.is_valid():
        try:
            done = act()
        except StaleRowError as error:
            _take_new_version(form, page.row)
            form.add_error(None, str(error))
        except (RefusedError, BadUploadError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done)
            return redirect(page.back)
    context = {
        "form": form,
        "page": page,
        "crumbs": [("Claims", ""), (page.back_words, page.back), (page.title, "")],
        **page.more,
    }
    status = 422 if form.errors else 200
    return render(request, page.template, context, status=status)


def _take_new_version(form: HouseForm, row: Model | None) -> None:
    """Let a second save count against the row as it stands now."""
    if row is None or "version" not in form.fields:
        return
    row.refresh_from_db(fields=["version"])
    if not isinstance(form.data, QueryDict):
        return
    data = form.data.copy()
    data[form.add_prefix("version")] = str(getattr(row, "version", ""))
    form.data = data
