"""Finding a crate by its label: scanned in the browser, photographed, or typed."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from inventory.access import person_of, require_somewhere, scoped
from inventory.addresses import DOCK, address_at, address_of
from inventory.forms.crates.finding import LabelPhotoForm
from inventory.models import Crate, User
from inventory.queries.crates.identity import crates_by_part, crates_named
from inventory.rules.codes.identifiers import MOST_TEXT, Identifier, parse
from inventory.views.core.ways import go_to
from inventory.views.crates.codes import read_photo


@require_http_methods(["GET", "POST"])
def find_crate(request: HttpRequest) -> HttpResponse:
    """Open the crate whose label was scanned, or say clearly why not."""
    person = person_of(request)
    require_somewhere(person, "see")
    if request.method == "POST":
        form = LabelPhotoForm(request.POST, request.FILES)
        return _by_photo(request, person, form)
    form = LabelPhotoForm()
    code = request.GET.get("code", "")[: MOST_TEXT + 1]
    if not code.strip():
        return _page(request, form)
    found = parse(code)
    crates = _crates(person, found)
    if len(crates) == 1:
        return go_to(address_of(crates[0]))
    shown = found.element_string or found.key or code
    if not crates:  # a part is a guess: it is listed, never opened
        parts = crates_by_part(person, code)
        return _page(request, form, found=found, parts=parts, code=code, shown=shown)
    return _page(request, form, found=found, crates=crates, code=code, shown=shown)


def _by_photo(request: HttpRequest, person: User, form: LabelPhotoForm) -> HttpResponse:
    if not form.is_valid():
        return _page(request, form, status=422)
    reading = read_photo(form.cleaned_data["photo"])
    texts = reading.texts
    if not texts:
        form.add_error("photo", reading.trouble)
        return _page(request, form, status=422)
    # A label has a QR code and a bar code, and other labels may be on the photo.
    for text in texts:
        if _crates(person, parse(text)):
            return _seek(text)
    return _seek(next((text for text in texts if parse(text).valid), texts[0]))


def _seek(text: str) -> HttpResponse:
    """Redirect to the search for this code, at an address that can be bookmarked."""
    return redirect(f"{reverse('find_crate')}?{urlencode({'code': text})}")


def _crates(person: User, found: Identifier) -> list[Crate]:
    return crates_named(scoped(Crate.objects.all(), person), found)


def _page(
    request: HttpRequest,
    form: LabelPhotoForm,
    *,
    status: int = 200,
    found: Identifier | None = None,
    crates: list[Crate] | None = None,
    parts: list[Crate] | None = None,
    code: str = "",
    shown: str = "",
) -> HttpResponse:
    context = {
        "form": form,
        "found": found,
        "crates": crates or parts or [],
        "is_part": bool(parts),
        "code": code,
        "shown": shown,
        "crumbs": [("Dock", address_at(DOCK)), ("Find a crate", "")],
    }
    return render(request, "inventory/crates/find_crate.html", context, status=status)
