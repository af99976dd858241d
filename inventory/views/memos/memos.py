"""Credit memos: entered, matched line by line, posted."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import (
    locations_of,
    may,
    obtain,
    person_of,
    require_somewhere,
)
from inventory.actions.core.once import Answer
from inventory.actions.memos import entering as acts
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import (
    enter_again,
    reverse_memo,
    why_not_reverse_memo,
)
from inventory.forms.core.base import HouseForm
from inventory.forms.deposits.deposits import UndoForm
from inventory.forms.memos.memos import AddLineForm, EnterMemoForm, MatchLineForm
from inventory.models import CreditMemo, Location, MemoLine
from inventory.queries.core.history import story_of
from inventory.queries.memos.listing import (
    candidates_for,
    left_out_lines,
    memo_rows,
    rows_of,
    sums_of,
)
from inventory.queries.memos.memo_sheets import memo_sheet, memos_sheet
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at, today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.places import place_of
from inventory.views.core.row_view import ButtonAct, RowView
from inventory.views.core.sheets import asked_as_file

Form = TypeVar("Form", bound=HouseForm)

LINES_A_PAGE = 100


@require_safe
def memos(request: HttpRequest) -> HttpResponse:
    """List the memos, those not posted first."""
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
        "crumbs": [("Deposits", reverse("deposits")), ("Credit memos", "")],
    }
    return render(request, "inventory/memos/memos.html", context)


NOT_HERE = "You do not keep the books of that location. Nothing was changed."


class MemoAtPlace(ActView[Location, Form]):
    """A page that enters memos for one location."""

    permission = "post-deposits"
    back_words = "Back to credit memos"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        location, self.others = place_of(
            self.request, self.person, self.permission, refusal=NOT_HERE
        )
        return location

    def get_back(self) -> str:
        return reverse("memos")

    def get_kicker(self) -> str:
        return self.row.name

    def get_crumbs(self) -> Crumbs:
        return [("Credit memos", reverse("memos"))]

    def entered(self, memo: CreditMemo) -> Answer:
        """Return the answer to a memo that is saved."""
        page = reverse("memo", args=[memo.pk])
        return self.done(f"{memo} saved. It is not posted yet.", row=memo, page=page)


class EnterMemo(MemoAtPlace[EnterMemoForm]):
    """Enter a memo: its head and its first lines."""

    form_class = EnterMemoForm
    template_name = "inventory/memos/enter_memo.html"
    title = "Enter a credit memo"

    def get_initial(self) -> dict[str, Any]:
        supplier = self.request.GET.get("supplier", "")
        today = today_at(self.row)
        return super().get_initial() | {"supplier": supplier, "received_on": today}

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"location": self.row, "today": today_at(self.row)}
        return super().get_form_kwargs() | options

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(others=self.others, **more)

    def act(self, form: EnterMemoForm) -> Answer:
        memo = acts.enter_memo(
            location=self.row,
            lines=form.memo_lines(),
            person=self.person,
            at=now(),
            **form.head(),
        )
        return self.entered(memo)


@require_safe
def memo(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a memo: each line with its result, the totals, and what is open."""
    person = person_of(request)
    row = obtain(_memos(), person, pk, "see-deposits")
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
        "left_out": left_out_lines(row).count(),
        "unmatched": sum(1 for one in lines if not one.line.fate),
        "story": story_of([row], row.location, leave_out=()),
        "may_post": may(person, row.location_id, "post-deposits"),
        "crumbs": [("Credit memos", reverse("memos")), (str(row), "")],
    }
    return render(request, "inventory/memos/memo.html", context)


class _OneMemo(RowView[CreditMemo]):
    """The memo of the address, for those who keep the books."""

    permission = "post-deposits"

    def get_queryset(self) -> QuerySet[CreditMemo]:
        return _memos()

    def get_back(self) -> str:
        return reverse("memo", args=[self.row.pk])


class AddMemoLine(_OneMemo, ActView[CreditMemo, AddLineForm]):
    """Add a line to a memo that is not posted."""

    form_class = AddLineForm
    title = "Add a line"
    back_words = "Back to the memo"

    def get_kicker(self) -> str:
        return f"{self.row} of {self.row.supplier}"

    def get_crumbs(self) -> Crumbs:
        return [("Credit memos", reverse("memos")), (str(self.row), self.get_back())]

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: AddLineForm) -> Answer:
        made = acts.add_memo_line(
            memo=self.row, line=form.line_at(0), person=self.person, at=now()
        )
        return self.done(f"Line {made.position} added.", row=made)


class PostMemo(_OneMemo, ButtonAct[CreditMemo]):
    """Post what the memo pays.

    It may take several transactions, so it has no once id: each line has a posting
    key of its own, and a memo that is posted stays as it is.
    """

    def act(self) -> Answer:
        was_posted = self.row.is_posted and not left_out_lines(self.row).exists()
        version = _version_of(self.request)
        post_memo(memo=self.row, version=version, person=self.person, at=now())
        if was_posted:
            return self.done(f"{self.row} was already posted. Nothing was changed.")
        return self.done(f"{self.row} posted.")


class ReverseMemo(_OneMemo, ActView[CreditMemo, UndoForm]):
    """Reverse all that a posted memo did."""

    form_class = UndoForm
    title = "Reverse the memo"
    lead = (
        "Every entry of the memo is reversed, its crates and short-paid credits are as "
        "before, and the memo can be entered again. In a locked period the reversal is "
        "posted on the first open day."
    )
    back_words = "Back to the memo"

    def get_kicker(self) -> str:
        return f"{self.row} of {self.row.supplier}"

    def get_crumbs(self) -> Crumbs:
        return [("Credit memos", reverse("memos")), (str(self.row), self.get_back())]

    def get_refusal(self) -> str:
        return why_not_reverse_memo(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"act": self.title, "today": today_at(self.row.location)}
        return super().get_form_kwargs() | options

    def act(self, form: UndoForm) -> Answer:
        got = form.cleaned_data
        reverse_memo(
            memo=self.row,
            version=got["version"],
            reason=got["reason"],
            reversed_on=got["effective_on"],
            person=self.person,
            at=now(),
        )
        return self.done(f"{self.row} reversed. Enter it again if it was mistyped.")


class EnterMemoAgain(_OneMemo, ButtonAct[CreditMemo]):
    """Enter a reversed memo again, to correct its lines; its number is free only once."""

    def act(self) -> Answer:
        memo = enter_again(memo=self.row, person=self.person, at=now())
        page = reverse("memo", args=[memo.pk])
        return self.done(
            f"{memo} entered again. Check its lines, then post it.", row=memo, page=page
        )


class _OneLine(RowView[MemoLine]):
    """The memo line of the address, for those who keep the books."""

    permission = "post-deposits"

    def get_queryset(self) -> QuerySet[MemoLine]:
        return MemoLine.objects.select_related("memo__location", "memo__supplier")

    def get_back(self) -> str:
        return reverse("memo", args=[self.row.memo_id])


class MatchMemoLine(_OneLine, ActView[MemoLine, MatchLineForm]):
    """Choose the crate that a line is for, or mark it as not ours."""

    form_class = MatchLineForm
    back_words = "Back to the memo"

    def get_title(self) -> str:
        return f"Match line {self.row.position}"

    def get_kicker(self) -> str:
        return f"{self.row.memo} of {self.row.memo.supplier}"

    def get_lead(self) -> str:
        line = self.row
        parts = (line.mark, line.type_name, line.remark)
        return f"The memo says: {' '.join(part for part in parts if part)}"

    def get_crumbs(self) -> Crumbs:
        memo = self.row.memo
        return [("Credit memos", reverse("memos")), (str(memo), self.get_back())]

    def get_form_kwargs(self) -> dict[str, Any]:
        candidates = candidates_for(self.row.memo)
        return super().get_form_kwargs() | {"candidates": candidates}

    def act(self, form: MatchLineForm) -> Answer:
        fate = acts.match_memo_line(
            line=self.row,
            version=form.cleaned_data["version"],
            deposit=form.cleaned_data["deposit"],
            person=self.person,
            at=now(),
        )
        return self.done(f"Line {self.row.position}: {fate.sentence}")


class DropMemoLine(_OneLine, ButtonAct[MemoLine]):
    """Remove a mistyped line."""

    def act(self) -> Answer:
        position = self.row.position
        version = _version_of(self.request)
        acts.drop_memo_line(
            line=self.row, version=version, person=self.person, at=now()
        )
        return self.done(f"Line {position} removed.")


def _version_of(request: HttpRequest) -> int:
    """Return the version that the button sent; -1, which no row has, for nonsense."""
    text = request.POST.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else -1


def _memos() -> QuerySet[CreditMemo]:
    """Return all memos with what their pages show joined."""
    return CreditMemo.objects.select_related("location", "supplier", "made_by")
