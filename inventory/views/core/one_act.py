"""One form, one act: what is refused comes back on the form with all that was typed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.evidence.keeping import BadUploadError
from inventory.forms.core.base import HouseForm
from inventory.views.core.photos import say_remarks
from inventory.views.core.refusals import put_refusal, status_of

PHOTOS_AGAIN = "Choose the photos again: a browser does not keep them."


@dataclass(frozen=True)
class ActPage:
    """What stands around the form.

    ``kicker`` is the small line above the title, ``back`` and ``back_words`` the way
    out without acting, ``row`` the row whose version the form carries. ``template``
    may be another page that includes the form.
    """

    title: str
    back: str
    back_words: str
    kicker: str = ""
    lead: str = ""
    row: Model | None = None
    template: str = "inventory/core/act.html"
    crumbs: Sequence[tuple[str, str]] = ()
    more: dict[str, object] = field(default_factory=dict)


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was posted, even where nothing was; None for a page just opened."""
    return request.POST if request.method == "POST" else None


def answer_act(
    request: HttpRequest,
    form: HouseForm,
    page: ActPage,
    act: Callable[[], HttpResponse],
) -> HttpResponse:
    """Show the form, or run the act on a valid one and return its answer.

    What the act refuses is put on the form and answered with 422, or with 507
    where the disk took no photo.
    """
    if request.method == "POST" and form.is_valid():
        try:
            return _told(request, form, act())
        except StaleRowError as error:
            _take_new_version(form, page.row)
            form.add_error(None, str(error))
        except RefusedError as error:
            form.add_error(None, str(error))
        except BadUploadError as error:
            put_refusal(form, None, error)
    if form.errors and request.FILES:
        form.add_error(None, PHOTOS_AGAIN)
    context = {"form": form, "page": page, "crumbs": page.crumbs, **page.more}
    return render(request, page.template, context, status=status_of(form))


def _told(request: HttpRequest, form: HouseForm, answer: HttpResponse) -> HttpResponse:
    """Return the answer of an act done, with what was noticed on its photos said."""
    say_remarks(request, form)
    return answer


def _take_new_version(form: HouseForm, row: Model | None) -> None:
    """Let a second save count against the row as it stands now."""
    if row is None or "version" not in form.fields:
        return
    row.refresh_from_db(fields=["version"])
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    data[form.add_prefix("version")] = str(vars(row)["version"])
    form.data = data
