"""Deposits that cannot be, and postings undone twice: refused, the books unmoved."""

import uuid

import pytest
from django.urls import reverse

from inventory.actions.core.versions import RefusedError
from inventory.models import Deposit, Entry
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from tests.ledger import charge, charged_crate, make_book, post

pytestmark = pytest.mark.database


@pytest.fixture
def book(db, client):
    made = make_book()
    client.force_login(made.who.abel)
    return made


def reason(**over):
    return {
        "once": str(uuid.uuid4()),
        "effective_on": "2026-03-20",
        "reason": "It went wrong.",
        **over,
    }


@pytest.mark.parametrize("count", ["0", "10001", "-1", "1.5", "1e3", "\uff11"])
def test_f77_a_deposit_for_no_crate_or_for_ten_thousand(book, client, count):
    answer = client.post(
        "/deposits/charge/",
        {
            "once": str(uuid.uuid4()),
            "location": book.location.pk,
            "supplier": book.supplier.pk,
            "invoice_number": "INV 88",
            "line_number": "1",
            "invoiced_on": "2026-03-10",
            "crate_type": book.crate_type.pk,
            "count": count,
            "amount_cents": "120.00",
        },
    )

    assert answer.status_code == 422
    assert "id_count_error" in answer.content.decode()
    assert not Deposit.objects.exists()


def test_f77_more_is_never_given_back_than_is_held(book):
    deposit = charge(book)

    with pytest.raises(RefusedError) as refused:
        post(book, "forfeiture", postings.forfeited(deposit.pk, 12_001))

    assert "120.00" in str(refused.value)
    assert "Nothing was posted" in str(refused.value)
    assert deposit_balance(deposit) == 12_000


def test_f81_a_crate_written_off_gives_no_money_back(book, client):
    _, deposit = charged_crate(book)
    assert (
        client.post(reverse("forfeit_deposit", args=[deposit.pk]), reason()).status_code
        == 302
    )
    entries = Entry.objects.count()

    again = client.post(reverse("forfeit_deposit", args=[deposit.pk]), reason())
    back = client.post(
        reverse("withdraw_deposit", args=[deposit.pk]), reason(version=deposit.version)
    )

    for answer in (again, back):
        assert answer.status_code == 422
        assert "Nothing was posted" in answer.content.decode()
    assert Entry.objects.count() == entries


def test_f81_a_closed_period_takes_nothing(book, client):
    _, deposit = charged_crate(book)
    lock = {"location": book.location.pk, "through": "2026-03-31"}
    assert client.post("/deposits/lock/", lock).status_code == 302
    entries = Entry.objects.count()

    answer = client.post(reverse("forfeit_deposit", args=[deposit.pk]), reason())

    assert answer.status_code == 422
    assert "locked through Tue 31 Mar 2026" in answer.content.decode()
    assert Entry.objects.count() == entries


def test_f82_what_was_undone_is_not_undone_again_nor_is_its_undoing(book, client):
    _, deposit = charged_crate(book)
    client.post(reverse("forfeit_deposit", args=[deposit.pk]), reason())
    entry = Entry.objects.get(kind="forfeiture")
    assert (
        client.post(reverse("reverse_entry", args=[entry.pk]), reason()).status_code
        == 302
    )
    undoing = Entry.objects.get(kind="reversal")
    entries = Entry.objects.count()

    for row, words in (
        (entry, "already reversed"),
        (undoing, "A reversal cannot be reversed"),
    ):
        answer = client.post(reverse("reverse_entry", args=[row.pk]), reason())
        assert answer.status_code == 422
        assert words in answer.content.decode()
    assert Entry.objects.count() == entries
