"""Accounting's month of claims, at a desk and on a phone: it ties, and every page holds."""

import os
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

SCENE = """
from datetime import date
from django.utils import timezone
from claims.actions.desk.month_end import carry_check
from claims.actions.claim import answers, endings
from claims.models import Claim
from tests.claims.booking import do, filed_claim, pay, set_basis
from tests.claims.stage import TODAY, claim_it, set_stage, step
from inventory.actions.memos.entering import enter_memo
from inventory.actions.memos.posting import post_memo
from inventory.rules.memos.matching import Line
from inventory.models import Carrier, Location, Supplier, User
from inventory.rules.reckoning.months import CalendarMonth
from tests.ledger import charge, make_book
from types import SimpleNamespace
who = SimpleNamespace(
    riverside=Location.objects.get(code="RIV"),
    **{one.username: one for one in User.objects.all()},
)
for one in (*Carrier.objects.all(), *Supplier.objects.all()):  # the template's own have the names that follow
    one.name = f"{one.name} of before"
    one.save()
set_basis(who, "filing", 4_200)
names = ["Gannet Overland", "Pike Hollow Freight", "Sedge & Stone Lines", "Tern Haul",
         "Willet Motor Express"]
for place, name in enumerate(names):
    claim = filed_claim(who, basis="")
    carrier = claim.shipment.carrier
    carrier.name = name
    carrier.save()
    pay(who, claim, 7_500 * (place + 1))
    if place == 1:
        pay(who, claim, 6_400, method="credit", bills="PRO 7711")
        answers.record_disallowance(
            claim=claim, step=step(who, claim), denial=answers.Denial(cents=12_000))
    if place == 2:
        do(who, claim, "salvage-sold")
    if place == 3:
        endings.give_up(claim=claim, step=step(who, claim))
    if place == 4:
        do(who, claim, "acknowledge", "offer")
        answers.accept_offer(claim=claim, cents=22_000, step=step(who, claim))
old = claim_it(who, set_stage(who))
Claim.objects.filter(pk=old.pk).update(
    state="received", sent_on=TODAY, received_on=TODAY)
book = make_book(who)
for mark in ("HT-9001", "HT-9002"):
    charge(book, marks=[mark])
charge(book, currency="CAD", amount_cents=4_000, crate_type=None, marks=["HT-9004"])
carry_check(
    location=who.riverside, month=CalendarMonth(date(2026, 3, 1)), check_key="charges",
    reason="Harrow looks for the two crates, and answers in the first week of April.",
    person=who.abel, at=timezone.now())
charge(book, marks=["HT-9003"])
now = timezone.now()
memo = enter_memo(
    location=who.riverside, supplier=book.supplier, number="CM 9001", dated_on=now.date(),
    received_on=now.date(), person=who.abel, at=now,
    lines=[Line(1, 18_500, "ZZ-9911"), Line(2, 4_200, "FREIGHT ALLOWANCE")])
post_memo(memo=memo, version=memo.version, person=who.abel, at=now)
"""
MONTH = "/books/?month=2026-03"
JOURNAL = "/deposits/journal/?first=2026-03-01&last=2026-03-31"
OTHERS = (
    *("/deposits/", "/deposits/balances/", "/deposits/charge/", "/deposits/lock/"),
    *("/deposits/rates/", "/deposits/accounts/", "/deposits/earlier-credits/"),
    *("/memos/", "/memos/new/", "/short-credits/", "/suspense/", "/statements/"),
    *("/remittances/", "/returns/", "/lists/"),
)
"""The other pages of accounting: looked at as they stand, with what the scene made."""

PICTURES = os.environ.get("DOCK_PICTURES", "")


@pytest.fixture(scope="module", autouse=True)
def scene(site):
    maker = site.python(SCENE)
    told = maker.communicate()[1]
    assert maker.returncode == 0, told


def picture(visitor, name):
    """Keep a picture of the page where someone asked for one, to look at."""
    if PICTURES:
        path = Path(PICTURES) / f"{name}.png"
        visitor.page.screenshot(path=path, full_page=True)


def walk(visitor, size):
    visitor.sign_in("abel")
    for name, path in (
        ("month", MONTH),
        ("entries", "/books/entries/?month=2026-03&line=cash"),
        ("trial", "/deposits/trial-balance/?first=2026-03-01&last=2026-03-31"),
        (
            "account",
            "/deposits/account/?first=2026-03-01&last=2026-03-31"
            "&kind=claims-receivable&currency=USD",
        ),
        ("basis", "/books/basis/"),
        ("openings", "/books/openings/"),
        ("month-end", "/month-end/?month=2026-03"),
        ("month-end-next", "/month-end/?month=2026-04"),
        ("carry", "/month-end/carry/?month=2026-03&check=charges"),
        ("journal", JOURNAL),
        *((path.strip("/").replace("/", "-"), path) for path in OTHERS),
    ):
        assert visitor.open(path) == 200
        picture(visitor, f"{name}-{size}")
    for path in ("/memos/", "/suspense/"):
        visitor.open(path)
        visitor.open(visitor.page.locator("main tbody a").first.get_attribute("href"))
        picture(visitor, f"one{path.strip('/')}-{size}")
    visitor.page.emulate_media(color_scheme="dark")
    for name, path in (
        ("month", MONTH),
        ("month-end", "/month-end/?month=2026-03"),
        ("journal", JOURNAL),
    ):
        visitor.open(path)
        picture(visitor, f"{name}-{size}-dark")
    visitor.page.emulate_media(color_scheme="light")
    visitor.open(MONTH)
    assert visitor.page.get_by_text("Ties to the cent").is_visible()


def test_the_books_at_a_desk(desk):
    walk(desk, "desk")
    desk.page.locator("table.roll tbody a").first.click()
    desk.look()
    desk.page.locator("main table tbody a").first.click()
    desk.look()
    assert desk.page.get_by_text("Carrier", exact=True).is_visible()


def test_the_books_on_a_phone(phone):
    walk(phone, "phone")


def test_a_claim_in_the_books_takes_a_figure(desk):
    desk.sign_in("abel")
    desk.open(MONTH)
    link = desk.page.locator("a[href$='/books/']:not([href='/books/'])").first
    desk.open(link.get_attribute("href"))
    picture(desk, "claim-desk")
    desk.follow("State a figure")
    desk.page.get_by_text("Loss as booked, at cost", exact=True).click()
    desk.page.locator("[name=cents]").fill("500.00")
    desk.page.locator("[name=reason]").fill("Invoice of the body shop.")
    desk.press("State the figure")
    assert desk.page.get_by_text("Loss as booked, at cost: $500.00").is_visible()
