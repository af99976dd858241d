"""What came short: explained, accepted, disputed with a letter, won or written off."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import locations_of, may, obtain, person_of, require_somewhere
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.memos import short_credits as acts
from inventory.evidence.seal.sent_documents import last_sent
from inventory.forms.memos.short_credits import DecideShortForm, WinShortForm
from inventory.models import ShortCredit, User
from inventory.queries.core.history import story_of
from inventory.queries.deposits.credits import days_table
from inventory.queries.memos.dispute_letters import line_for, proof_photos
from inventory.queries.memos.listing import short_rows
from inventory.queries.memos.sheets import shorts_sheet
from inventory.rules.core.sent_documents import DISPUTE_LETTER
from inventory.rules.memos.short_credits import ShortFacts, acts_from
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.clock import now, to_local, today_at, today_somewhere
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

Act = Callable[..., ShortCredit]


@require_safe
def short_credits(request: HttpRequest) -> HttpResponse:
    """List the differences, those still to be decided unless all are asked for."""
    person = person_of(request)
    require_somewhere(person, "see-deposits")
    which = "all" if request.GET.get("which") == "all" else "live"
    rows = short_rows(person, which)
    file = asked_as_file(
        request,
        lambda: shorts_sheet(rows),
        stem="credited-short",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "page": page_of(request, rows),
        "which": which,
        "may_post": locations_of(person, "post-deposits").exists(),
        "crumbs": [("Credit memos", reverse("memos")), ("Credited short", "")],
    }
    return render(request, "inventory/memos/short_credits.html", context)


def short_of(person: User, pk: int, act: str) -> ShortCredit:
    """Return the difference with all that its pages read, for this act."""
    rows = ShortCredit.objects.select_related(
        "location",
        "supplier",
        "deposit__crate",
        "deposit__crate_type",
        "memo_line__memo",
        "write_off_asked_by",
    )
    return obtain(rows, person, pk, act)


@require_safe
def short_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one difference: its figures, its proof, and what can be done about it."""
    person = person_of(request)
    row = short_of(person, pk, "see-deposits")
    line = line_for(row)
    home = line.crate_return if line else None
    left_on = home.picked_up_on if home else None
    facts = _facts(row, person)
    letter = last_sent(row, DISPUTE_LETTER)
    context = {
        "short": row,
        "line": line,
        "home": home,
        "listed": home.lines.filter(is_taken_off=False).count() if home else 0,
        "table": days_table(row.deposit, left_on) if left_on else (),
        "photos": proof_photos(row),
        "acts": acts_from(row.state),
        "letter": letter,
        "letter_on": to_local(row.location, letter.made_at).date() if letter else None,
        "needs_two": facts.needs_two,
        "limit": row.location.write_off_limit_cents,
        "asked_by_me": row.write_off_asked_by_id == person.pk,
        "story": story_of([row], row.location, leave_out=()),
        "may_post": may(person, row.location_id, "post-deposits"),
        "may_approve": may(person, row.location_id, "approve-write-off"),
        "crumbs": [
            ("Credited short", reverse("short_credits")),
            (str(row.deposit.crate or row.deposit), ""),
        ],
    }
    return render(request, "inventory/memos/short_credit.html", context)


def _facts(row: ShortCredit, person: User) -> ShortFacts:
    return ShortFacts(
        cents=row.amount_cents,
        currency=row.currency,
        limit=row.location.write_off_limit_cents,
        limit_currency=row.location.currency,
        person=person.pk,
        asked_by=row.write_off_asked_by_id,
    )


def _decide(
    request: HttpRequest,
    row: ShortCredit,
    words: tuple[str, str, str],
    run: Act,
    *,
    needs_reason: bool = True,
) -> HttpResponse:
    """Show or take one decision; ``words`` are its title, its button, what is said."""
    title, button, said = words
    today = today_at(row.location)
    form = DecideShortForm(
        posted(request),
        act=button,
        today=today,
        needs_reason=needs_reason,
        initial={"version": row.version, "decided_on": today},
    )

    def act() -> HttpResponse:
        person = person_of(request)
        decided = run(
            short=row,
            version=form.cleaned_data["version"],
            decided=_decided(form, person),
        )
        waits = decided.state in {"open", "disputed"} and "write" in button.lower()
        messages.success(request, "Asked. A second person agrees." if waits else said)
        return redirect("short_credit", row.pk)

    return answer_act(request, form, _page(row, title), act)


def _decided(form: DecideShortForm, person: User) -> Decided:
    got = form.cleaned_data
    return Decided(got["decided_on"], got["posting_key"], person, now(), got["reason"])


@require_http_methods(["GET", "POST"])
def accept_short(request: HttpRequest, pk: int) -> HttpResponse:
    """Accept that the supplier keeps this."""
    row = short_of(person_of(request), pk, "post-deposits")
    words = ("Accept this difference", "Accept it", "Accepted. It is a cost now.")
    return _decide(request, row, words, acts.accept_short)


@require_http_methods(["GET", "POST"])
def dispute_short(request: HttpRequest, pk: int) -> HttpResponse:
    """Dispute this with the supplier."""
    row = short_of(person_of(request), pk, "post-deposits")
    words = (
        "Dispute this difference",
        "Dispute it",
        "Disputed. Send the letter with its proof.",
    )
    return _decide(request, row, words, acts.dispute_short)


@require_http_methods(["GET", "POST"])
def win_short(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the supplier paid this after all, or a part of it."""
    person = person_of(request)
    row = short_of(person, pk, "post-deposits")
    today = today_at(row.location)
    form = WinShortForm(
        posted(request),
        act="Record the payment",
        today=today,
        currency=row.currency,
        initial={
            "version": row.version,
            "decided_on": today,
            "amount": row.amount_cents,
        },
    )

    def act() -> HttpResponse:
        acts.win_short(
            short=row,
            version=form.cleaned_data["version"],
            cents=form.cleaned_data["amount"],
            decided=_decided(form, person),
        )
        messages.success(request, "Recorded as paid.")
        return redirect("short_credit", row.pk)

    return answer_act(request, form, _page(row, "It was paid after all"), act)


@require_http_methods(["GET", "POST"])
def ask_write_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a difference off, or ask a second person where it is above the limit."""
    row = short_of(person_of(request), pk, "post-deposits")
    words = ("Write this difference off", "Write it off", "Written off.")
    return _decide(request, row, words, acts.give_up_short)


@require_http_methods(["GET", "POST"])
def approve_write_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Agree to what another person asked to write off."""
    row = short_of(person_of(request), pk, "approve-write-off")
    words = ("Agree to this write-off", "Agree and write it off", "Written off.")
    return _decide(request, row, words, acts.agree_give_up, needs_reason=False)


def _page(row: ShortCredit, title: str) -> ActPage:
    back = reverse("short_credit", args=[row.pk])
    amount = format_cents(row.amount_cents, row.currency, code=True)
    what = str(row.deposit.crate or row.deposit)
    return ActPage(
        title=title,
        kicker=f"{what}, {row.supplier}",
        lead=f"{amount}: {row.get_cause_display().lower()}.",
        row=row,
        back=back,
        back_words="Back to the difference",
        crumbs=[
            ("Credited short", reverse("short_credits")),
            (what, back),
            (title, ""),
        ],
    )
