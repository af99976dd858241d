"""Locking a period of the books, and the company's own account numbers."""

from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from inventory.access import locations_of, may, obtain, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.ledger import periods as books
from inventory.addresses import HOME, MONTH_END, address_at
from inventory.forms.ledger.books import AccountNumbersForm, LockForm
from inventory.models import AccountNumber, Location, PeriodLock
from inventory.rules.reckoning.calendars import in_words
from inventory.views.core.act_view import ActView, Crumbs, Form
from inventory.views.core.clock import now, today_at
from inventory.views.core.row_view import Row

MOST_LOCKS = 50


class BooksPage(ActView[Row, Form]):
    """A page for whoever keeps the books of some location, below the deposits."""

    permission = "post-deposits"
    back_words = "Back to deposits"

    def get_back(self) -> str:
        return reverse("deposits")

    def get_crumbs(self) -> Crumbs:
        return [("Deposits", reverse("deposits"))]

    @cached_property
    def places(self) -> QuerySet[Location]:
        """Return the locations whose books the person keeps."""
        return locations_of(self.person, self.permission)


class LockPeriod(BooksPage[None, LockForm]):
    """Lock the books of a location through a day."""

    form_class = LockForm
    template_name = "inventory/ledger/lock_period.html"
    title = "Lock the books"
    kicker = "Month end"
    lead = (
        "Lock a month once its checks are done or carried. Nothing can be posted on or "
        "before that day afterwards, and a lock cannot be undone."
    )

    def get_row(self) -> None:
        require_somewhere(self.person, self.permission)

    def get_initial(self) -> dict[str, Any]:
        names = ("location", "through")
        asked = {name: self.request.GET.get(name, "") for name in names}
        given = {name: value for name, value in asked.items() if value}
        return super().get_initial() | given

    def get_form_kwargs(self) -> dict[str, Any]:
        yesterday = max(today_at(place) for place in self.places) - timedelta(days=1)
        options = {"places": self.places, "yesterday": yesterday}
        return super().get_form_kwargs() | options

    def get_context_data(self, **more: object) -> dict[str, Any]:
        locks = PeriodLock.objects.filter(location__in=self.places)
        joined = locks.select_related("location", "locked_by")
        newest = joined.order_by("location__name", "-through", "-pk")[:MOST_LOCKS]
        month_end = address_at(MONTH_END)
        return super().get_context_data(locks=newest, month_end=month_end, **more)

    def act(self, form: LockForm) -> Answer:
        lock = books.lock_checked_period(
            person=self.person, at=now(), **form.cleaned_data
        )
        through = in_words(lock.through)
        said = f"The books of {lock.location} are locked through {through}."
        return self.done(said, row=lock, page=reverse("lock_period"))


class AccountNumbers(BooksPage[Location, AccountNumbersForm]):
    """Number our accounts as in the company's own books."""

    permission = "keep-accounts"
    form_class = AccountNumbersForm
    template_name = "inventory/ledger/account_numbers.html"
    title = "Account numbers"
    lead = (
        "Enter the number of each account in your own books. The journal and its "
        "export show them."
    )

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        key = self.request.GET.get("place", "")
        if not key and self.places:
            return self.places[0]
        return obtain(Location.objects.all(), self.person, key, self.permission)

    @cached_property
    def sees_deposits(self) -> bool:
        """Return whether the pages above are open to the person."""
        return may(self.person, self.row.pk, "see-deposits")

    def get_back(self) -> str:
        return super().get_back() if self.sees_deposits else address_at(HOME)

    def get_back_words(self) -> str:
        return self.back_words if self.sees_deposits else "Back to your desk"

    def get_crumbs(self) -> Crumbs:
        return super().get_crumbs() if self.sees_deposits else []

    def get_kicker(self) -> str:
        return str(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        rows = AccountNumber.objects.filter(location=self.row)
        kept = {row.kind: row for row in rows}
        return super().get_form_kwargs() | {"kept": kept}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        places = self.places if len(self.places) > 1 else []
        return super().get_context_data(places=places, place=self.row, **more)

    def act(self, form: AccountNumbersForm) -> Answer:
        changed = books.number_accounts(
            location=self.row, given=form.numbered(), person=self.person, at=now()
        )
        many = "1 account number" if changed == 1 else f"{changed} account numbers"
        page = f"{reverse('account_numbers')}?place={self.row.pk}"
        return self.done(f"{many} saved for {self.row}.", page=page)
