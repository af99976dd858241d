"""Short-paid credits: disputed with a letter, paid, accepted or written off."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import locations_of, may, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer, posting_key
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.memos import short_credits as acts
from inventory.actions.memos.undoing import last_decision, undo_decision, why_not_undo
from inventory.evidence.seal.sent_documents import last_sent
from inventory.forms.core.base import HouseForm
from inventory.forms.deposits.deposits import UndoForm
from inventory.forms.memos.short_credits import DecideShortForm, WinShortForm
from inventory.models import ShortCredit, User
from inventory.queries.core.history import story_of
from inventory.queries.deposits.credits import days_table
from inventory.queries.memos.dispute_letters import line_for, proof_photos
from inventory.queries.memos.listing import short_rows
from inventory.queries.memos.memo_sheets import shorts_sheet
from inventory.rules.core.sent_documents import DISPUTE_LETTER
from inventory.rules.memos.short_credits import give_up_act
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import now, today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file
from inventory.views.memos.deciding import CreditDecision

Form = TypeVar("Form", bound=HouseForm)


@require_safe
def short_credits(request: HttpRequest) -> HttpResponse:
    """List the short-paid credits: the open ones, or with ``which=all`` every one."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    which = "all" if request.GET.get("which") == "all" else "live"
    rows = short_rows(person, which)
    file = asked_as_file(
        request,
        lambda: shorts_sheet(rows),
        stem="short-paid-credits",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "page": page_of(request, rows),
        "which": which,
        "may_post": locations_of(person, "post-deposits").exists(),
        "crumbs": [("Credit memos", reverse("memos")), ("Short-paid credits", "")],
    }
    return render(request, "inventory/memos/short_credits.html", context)


@require_safe
def short_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one short-paid credit: its figures, its proof, and what can be done."""
    person = person_of(request)
    row = short_of(person, pk, "see-deposits")
    line = line_for(row)
    home = line.crate_return if line else None
    left_on = home.picked_up_on if home else None
    facts = row.facts_for(person.pk)
    acts_now = row.life.acts_from(row.state, facts)
    letter = last_sent(row, DISPUTE_LETTER)
    context = {
        "short": row,
        "line": line,
        "home": home,
        "listed": home.lines.filter(is_taken_off=False).count() if home else 0,
        "table": days_table(row.deposit, left_on) if left_on else (),
        "photos": proof_photos(row),
        "acts": acts_now,
        "letter": letter,
        "letter_on": dock_day(letter.made_at, row.location.zone) if letter else None,
        "needs_two": facts.needs_two,
        "may_give_up": give_up_act(facts) in acts_now,
        "limit": row.location.write_off_limit_cents,
        "may_undo": last_decision(row) is not None,
        "story": story_of([row], row.location, leave_out=()),
        "may_post": may(person, row.location_id, "post-deposits"),
        "may_approve": may(person, row.location_id, "approve-write-off"),
        "crumbs": [*_list_crumbs(), (_what(row), "")],
    }
    return render(request, "inventory/memos/short_credit.html", context)


class _Decision(CreditDecision[ShortCredit, Form]):
    """A decision on the short-paid credit of the address, with its day."""

    back_words = "Back to the short-paid credit"

    def get_queryset(self) -> QuerySet[ShortCredit]:
        return _shorts()

    def get_back(self) -> str:
        return reverse("short_credit", args=[self.row.pk])

    def get_kicker(self) -> str:
        return f"{_what(self.row)}, {self.row.supplier}"

    def get_lead(self) -> str:
        amount = format_cents(self.row.amount_cents, self.row.currency, code=True)
        return f"{amount} short: {self.row.get_cause_display().lower()}."

    def get_crumbs(self) -> Crumbs:
        return [*_list_crumbs(), (_what(self.row), self.get_back())]


class AcceptShort(_Decision[DecideShortForm]):
    """Accept a short-paid credit as a loss."""

    form_class = DecideShortForm
    title = "Accept the loss"

    def act(self, form: DecideShortForm) -> Answer:
        acts.accept_short(
            short=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        return self.done("Loss accepted.")


class DisputeShort(_Decision[DecideShortForm]):
    """Dispute a short-paid credit with the supplier."""

    form_class = DecideShortForm
    title = "Dispute this credit"
    button = "Dispute"

    def act(self, form: DecideShortForm) -> Answer:
        acts.dispute_short(
            short=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        return self.done("Credit disputed. Make the letter to the supplier next.")


class WinShort(_Decision[WinShortForm]):
    """Record that the supplier paid a short-paid credit, or a part of it."""

    form_class = WinShortForm
    title = "Record the payment"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"amount": self.row.amount_cents}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: WinShortForm) -> Answer:
        acts.win_short(
            short=self.row,
            version=form.cleaned_data["version"],
            cents=form.cleaned_data["amount"],
            decided=self.decided(form),
        )
        return self.done("Payment recorded.")


class AskWriteOff(_Decision[DecideShortForm]):
    """Write a short-paid credit off, or ask a second person above the limit."""

    form_class = DecideShortForm

    def get_title(self) -> str:
        asks = self.row.facts_for(self.person.pk).needs_two
        return "Ask for a write-off" if asks else "Write off this credit"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"act": self.get_title()}

    def act(self, form: DecideShortForm) -> Answer:
        decided = acts.give_up_short(
            short=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        if decided.state in decided.life.live:
            return self.done("Write-off requested. A second person must approve it.")
        return self.done("Credit written off.")


class ApproveWriteOff(_Decision[DecideShortForm]):
    """Approve what another person asked to write off."""

    permission = "approve-write-off"
    form_class = DecideShortForm
    title = "Approve the write-off"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"needs_reason": False}

    def act(self, form: DecideShortForm) -> Answer:
        acts.agree_give_up(
            short=self.row,
            version=form.cleaned_data["version"],
            decided=self.decided(form),
        )
        return self.done("Credit written off.")


class UndoDecision(CreditDecision[ShortCredit, UndoForm]):
    """Undo the last decision on the short-paid credit."""

    form_class = UndoForm
    title = "Undo the decision"
    back_words = "Back to the short-paid credit"
    lead = (
        "The entry of the decision is reversed; the credit, its crate and its return "
        "are as before. In a locked period the reversal is posted on the first open day."
    )

    def get_queryset(self) -> QuerySet[ShortCredit]:
        return _shorts()

    def get_back(self) -> str:
        return reverse("short_credit", args=[self.row.pk])

    def get_kicker(self) -> str:
        return f"{_what(self.row)}, {self.row.get_state_display().lower()}"

    def get_crumbs(self) -> Crumbs:
        return [*_list_crumbs(), (_what(self.row), self.get_back())]

    def get_refusal(self) -> str:
        return why_not_undo(self.row)

    def act(self, form: UndoForm) -> Answer:
        got = form.cleaned_data
        key = posting_key(form.once_id, self.person)
        said = Decided(got["effective_on"], key, self.person, now(), got["reason"])
        undone = undo_decision(short=self.row, version=got["version"], decided=said)
        state = undone.get_state_display().lower()
        return self.done(f"Decision undone. The credit is {state} again.")


def short_of(person: User, pk: int, act: str) -> ShortCredit:
    """Return the short-paid credit with all that its pages read, for this act."""
    return obtain(_shorts(), person, pk, act)


def _shorts() -> QuerySet[ShortCredit]:
    return ShortCredit.objects.select_related(
        "location",
        "supplier",
        "deposit__crate",
        "deposit__crate_type",
        "memo_line__memo",
        "write_off_asked_by",
    )


def _list_crumbs() -> Crumbs:
    return [("Short-paid credits", reverse("short_credits"))]


def _what(row: ShortCredit) -> str:
    return str(row.deposit.crate or row.deposit)
