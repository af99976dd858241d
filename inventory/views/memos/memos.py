"""Credit memos: entered by hand or from a file, matched line by line, posted."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from inventory.access import (
    locations_of,
    may,
    obtain,
    person_of,
    require_somewhere,
)
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.memos import entering as acts
from inventory.actions.memos.posting import post_memo as post_it
from inventory.forms.memos.memos import AddLineForm, EnterMemoForm, MatchLineForm
from inventory.models import CreditMemo, Location, MemoLine, User
from inventory.queries.core.history import story_of
from inventory.queries.memos.listing import candidates_for, memo_rows, rows_of, sums_of
from inventory.queries.memos.memo_sheets import memo_sheet, memos_sheet
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

LINES_A_PAGE = 100


@require_safe
def memos(request: HttpRequest) -> HttpResponse:
    """List the memos, those that wait to be posted first."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    rows = memo_rows(person)
    file = asked_as_file(
        request, lambda: memos_sheet(rows), stem="memos", today=today_somewhere(person)
    )
    if file:
        return file
    context = {
        "page": page_of(request, rows),
        "may_post": locations_of(person, "post-deposits").exists(),
        "crumbs": [("Returns", reverse("returns")), ("Credit memos", "")],
    }
    return render(request, "inventory/memos/memos.html", context)


def place_of(request: HttpRequest, person: User) -> tuple[Location, list[Location]]:
    """Return the location that memos are entered for, and the others to choose."""
    places = list(locations_of(person, "post-deposits"))
    asked = request.GET.get("location", "")
    for row in places:
        if str(row.pk) == asked:
            return row, [one for one in places if one.pk != row.pk]
    if asked:
        raise PermissionDenied(
            "You do not keep the books of that location. Nothing was changed."
        )
    return places[0], places[1:]


@require_http_methods(["GET", "POST"])
def enter_memo(request: HttpRequest) -> HttpResponse:
    """Type a memo: its head and its first lines."""
    person = person_of(request)
    require_somewhere(person, "post-deposits")
    location, others = place_of(request, person)
    today = today_at(location)
    form = EnterMemoForm(
        posted(request),
        location=location,
        today=today,
        initial={"supplier": request.GET.get("supplier", ""), "received_on": today},
    )

    def act() -> HttpResponse:
        memo = acts.enter_memo(
            location=location,
            lines=form.lines(),
            person=person,
            at=now(),
            **form.head(),
        )
        messages.success(request, f"{memo} is entered. Nothing is posted yet.")
        return redirect("memo", memo.pk)

    page = ActPage(
        title="Enter a credit memo",
        kicker=location.name,
        back=reverse("memos"),
        back_words="Back to the memos",
        template="inventory/memos/enter_memo.html",
        crumbs=[("Credit memos", reverse("memos")), ("Enter a memo", "")],
        more={"others": others},
    )
    return answer_act(request, form, page, act)


def memo_of(person: User, pk: int, act: str) -> CreditMemo:
    """Return one memo through its gate, with what its pages print joined."""
    rows = CreditMemo.objects.select_related("location", "supplier", "made_by")
    return obtain(rows, person, pk, act)


@require_safe
def memo(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a memo: each line with its fate, the sums, and what it left open."""
    person = person_of(request)
    row = memo_of(person, pk, "see-deposits")
    lines = rows_of(row)
    file = asked_as_file(
        request,
        lambda: memo_sheet(row, lines),
        stem="memo",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "memo": row,
        "page": page_of(request, lines, LINES_A_PAGE),
        "sums": sums_of(lines),
        "in_part": not row.is_posted and any(one.line.entry_id for one in lines),
        "unmatched": sum(1 for one in lines if not one.line.fate),
        "story": story_of([row], row.location, leave_out=()),
        "may_post": may(person, row.location_id, "post-deposits"),
        "crumbs": [("Credit memos", reverse("memos")), (str(row), "")],
    }
    return render(request, "inventory/memos/memo.html", context)


@require_http_methods(["GET", "POST"])
def add_memo_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a line to a memo that is not posted."""
    person = person_of(request)
    row = memo_of(person, pk, "post-deposits")
    form = AddLineForm(posted(request), currency=row.currency)

    def act() -> HttpResponse:
        made = acts.add_memo_line(memo=row, line=form.line(), person=person, at=now())
        messages.success(request, f"Line {made.position} is added.")
        return redirect("memo", row.pk)

    return answer_act(request, form, _page(row, "Add a line"), act)


@require_http_methods(["GET", "POST"])
def match_memo_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which crate a line is for, or that it is not ours."""
    person = person_of(request)
    line = _line(person, pk)
    row = line.memo
    form = MatchLineForm(
        posted(request),
        candidates=candidates_for(row),
        initial={"version": line.version},
    )

    def act() -> HttpResponse:
        fate = acts.match_memo_line(
            line=line,
            version=form.cleaned_data["version"],
            deposit=form.cleaned_data["deposit"],
            person=person,
            at=now(),
        )
        messages.success(request, f"Line {line.position}: {fate.sentence}")
        return redirect("memo", row.pk)

    said = " ".join(part for part in (line.mark, line.type_name, line.remark) if part)
    page = _page(row, f"Match line {line.position}", f"The memo says: {said}", line)
    return answer_act(request, form, page, act)


@require_POST
def drop_memo_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line out that was typed wrong."""
    person = person_of(request)
    line = _line(person, pk)
    version = request.POST.get("version", "")
    try:
        acts.drop_memo_line(line=line, version=_whole(version), person=person, at=now())
    except (RefusedError, StaleRowError) as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Line {line.position} is taken out.")
    return redirect("memo", line.memo_id)


@require_POST
def post_memo(request: HttpRequest, pk: int) -> HttpResponse:
    """Post what the memo pays; a second sending changes nothing."""
    person = person_of(request)
    row = memo_of(person, pk, "post-deposits")
    version = request.POST.get("version", "")
    was_posted = row.is_posted
    try:
        post_it(memo=row, version=_whole(version), person=person, at=now())
    except (RefusedError, StaleRowError) as error:
        messages.error(request, str(error))
    else:
        words = "was posted before; nothing changed" if was_posted else "is posted"
        messages.success(request, f"{row} {words}.")
    return redirect("memo", row.pk)


def _whole(text: str) -> int:
    """Return a version as a number; what is none is no version of any row."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else -1


def _line(person: User, pk: int) -> MemoLine:
    rows = MemoLine.objects.select_related("memo__location", "memo__supplier")
    return obtain(rows, person, pk, "post-deposits")


def _page(
    row: CreditMemo, title: str, lead: str = "", line: MemoLine | None = None
) -> ActPage:
    back = reverse("memo", args=[row.pk])
    return ActPage(
        title=title,
        kicker=f"{row} of {row.supplier}",
        lead=lead,
        row=line or row,
        back=back,
        back_words="Back to the memo",
        crumbs=[("Credit memos", reverse("memos")), (str(row), back), (title, "")],
    )
