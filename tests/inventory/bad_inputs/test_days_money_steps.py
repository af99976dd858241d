"""Days, moments, amounts and steps out of order: refused, or given one meaning."""

import uuid
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from claims.models import Deadline
from claims.rules.claim.life import LIFE
from claims.rules.deadlines.counting import deadlines_for
from claims.rules.deadlines.facts import Facts
from inventory.models import Delivery, Evidence, Location
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.periods import add_months
from tests import making
from tests.house.access_rows import make_deadline
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.one_in(3)]

CHICAGO = ZoneInfo("America/Chicago")
FORM = "Enter the date as 2026-03-31."

NO_DAYS = [
    # number, what is typed, the sentence
    ("F66", "2026-02-30", "There is no day 2026-02-30"),
    ("F66 zero", "0000-00-00", "There is no day 0000-00-00"),
    ("F66 slashes", "13/04/2026", FORM),
    ("F66 other slashes", "04/13/2026", FORM),
    ("F66 words", "tomorrow", FORM),
    ("F67", "9999-12-31", "Enter a date up to"),
    ("F67 years back", "1999-12-31", "Check the year"),
    ("F68 week", "2026-W01-1", FORM),
    ("F68 plain", "20260101", FORM),
]


@pytest.mark.parametrize(
    ("number", "typed", "words"), NO_DAYS, ids=[r[0] for r in NO_DAYS]
)
def test_what_is_no_day_we_take_gets_the_form_we_take(house, number, typed, words):
    shipment = making.make_shipment(location=house.who.riverside)

    answer = house.post("edit_shipment", shipment.pk, bol_on=typed)

    assert answer.status_code == 422, number
    assert words in answer.content.decode()
    shipment.refresh_from_db()
    assert shipment.bol_on == date(2026, 3, 3)


NO_MOMENTS = [
    ("F66", "2026-02-30 10:00", "There is no day"),
    ("F66 hour", "2026-03-10 24:00", "from 00:00 to 23:59"),
    ("F67", "9999-12-31 10:00", "in the future"),
    ("F68", "20260310T1000", "Enter date and time as"),
]


@pytest.mark.parametrize(("number", "typed", "words"), NO_MOMENTS)
def test_what_is_no_moment_logs_no_truck(house, number, typed, words):
    answer = house.post("log_delivery", carrier_name="New Freight", arrived_at=typed)

    assert answer.status_code == 422, number
    assert words in answer.content.decode()
    assert Delivery.objects.count() == 1


def test_f69_a_truck_of_tomorrow_and_a_bill_younger_than_its_truck(house):
    tomorrow = timezone.localtime(timezone=CHICAGO) + timedelta(days=1)
    answer = house.post(
        "log_delivery",
        carrier_name="New Freight",
        arrived_at=f"{tomorrow:%Y-%m-%d %H:%M}",
    )
    assert answer.status_code == 422
    assert "in the future" in answer.content.decode()
    assert Delivery.objects.count() == 1

    shipment = making.make_shipment(location=house.who.riverside)
    making.make_handover(house.delivery, shipment)
    late = house.delivery.arrived_on + timedelta(days=1)
    answer = house.post("edit_shipment", shipment.pk, bol_on=late.isoformat())
    assert answer.status_code == 422
    assert "before the truck arrives" in answer.content.decode()


def logged(house, typed):
    answer = house.post("log_delivery", carrier_name="New Freight", arrived_at=typed)
    assert answer.status_code == 302, answer.content.decode()
    return Delivery.objects.latest("pk")


def test_f70_an_evening_at_the_dock_is_that_day_whatever_utc_says(house):
    evening = timezone.localtime(timezone=CHICAGO) - timedelta(days=3)
    row = logged(house, f"{evening:%Y-%m-%d} 23:30")

    assert row.arrived_on == evening.date()
    assert row.arrived_at.astimezone(UTC).date() == evening.date() + timedelta(days=1)


NIGHTS = [
    # typed at the dock, the one moment it stands for (2026-03-08 and 2025-11-02)
    ("2026-03-08 02:30", datetime(2026, 3, 8, 8, 30, tzinfo=UTC)),
    ("2025-11-02 01:30", datetime(2025, 11, 2, 6, 30, tzinfo=UTC)),
]


@pytest.mark.parametrize(("typed", "moment"), NIGHTS)
def test_f71_the_hour_that_is_not_and_the_hour_that_is_twice(house, typed, moment):
    row = logged(house, typed)

    assert row.arrived_at == moment
    assert row.arrived_on == date.fromisoformat(typed[:10])


def test_f72_a_day_is_the_calendars_and_24_hours_are_what_passes():
    # Clocks in Chicago jumped ahead at 2:00 on 8 March 2026: 15 U.S.C. 260a(a).
    late = datetime(2026, 3, 7, 23, 30, tzinfo=CHICAGO)
    assert dock_day(late, CHICAGO) + timedelta(days=1) == date(2026, 3, 8)
    assert dock_day(late.astimezone(UTC) + timedelta(hours=24), CHICAGO) == date(
        2026, 3, 9
    )


def test_f73_a_month_without_such_a_day_ends_on_its_last():
    assert add_months(date(2028, 2, 29), 12) == date(2029, 2, 28)
    assert add_months(date(2026, 5, 31), 9) == date(2027, 2, 28)


PLACE = {
    "name": "Longbank",
    "code": "LB",
    "address": "2 Wharf Road",
    "country": "US",
    "subdivision": "IA",
    "paper": "letter",
    "length_unit": "ft",
    "currency": "USD",
    "shop_rate": "118.00",
    "shop_rate_source": "Posted sheet",
}


@pytest.mark.parametrize("zone", ["", "Mars/Olympus", "America/", "../../etc/passwd"])
def test_f74_a_dock_without_a_known_clock_is_not_set_up(house, zone):
    house.client.force_login(house.who.ada)
    answer = house.post("add_location", **PLACE, time_zone=zone)

    assert answer.status_code == 422
    assert "from the list, such as Central time" in answer.content.decode()
    assert Location.objects.count() == 2


def test_f74_a_clock_changed_later_moves_no_deadline(house):
    shipment = making.make_shipment(location=house.who.riverside)
    make_deadline(shipment, delivery=house.delivery)
    before = list(Deadline.objects.values())
    house.client.force_login(house.who.ada)

    answer = house.post(
        "edit_location",
        house.who.riverside.pk,
        **{**PLACE, "name": "Riverside", "code": "RIV"},
        time_zone="Pacific/Auckland",
        version="1",
    )

    assert answer.status_code == 302
    assert list(Deadline.objects.values()) == before


def test_f75_a_last_day_on_a_weekend_shows_the_earlier_day_as_safe():
    facts = Facts(
        "us-motor-older",
        is_concealed=True,
        bill_on=date(2026, 11, 10),
        delivered_on=date(2026, 11, 20),
    )
    notice = next(one for one in deadlines_for(facts) if one.duty == "concealed-notice")

    assert notice.due == date(2026, 12, 5)  # a Saturday
    assert notice.safe <= date(2026, 12, 4)


AMOUNTS = ["-1", "0.005", "1e9", "1,5", "\uff11\uff12", "NaN", "Infinity", "0x10"]


@pytest.mark.parametrize("typed", AMOUNTS)
def test_f76_only_whole_cents_are_an_amount(house, typed):
    shipment = making.make_shipment(location=house.who.riverside)

    answer = house.post("edit_shipment", shipment.pk, freight_charge_cents=typed)

    assert answer.status_code == 422
    assert "id_freight_charge_cents_error" in answer.content.decode()
    shipment.refresh_from_db()
    assert shipment.freight_charge_cents == 84_000


def claim_of(house):
    shipment = making.make_shipment(location=house.who.riverside)
    claim = making.make_claim(shipment, made_by=house.who.mina)
    making.make_claim_line(claim)
    house.client.force_login(house.who.mina)
    return claim


@pytest.mark.parametrize("page", ["record_offer", "record_payment"])
def test_f76_nothing_is_neither_offered_nor_received(house, page):
    answer = house.post(
        page, claim_of(house).pk, on="2026-03-12", amount="0", version="1"
    )

    assert answer.status_code == 422
    assert "above 0" in answer.content.decode()


def test_f78_the_same_number_gives_the_same_answer_or_is_refused(house):
    number = str(uuid.uuid4())
    first, again = (house.send(jpeg(), client_id=number) for _ in range(2))
    other = house.send(jpeg(colour=(5, 5, 5)), client_id=number)

    assert first.status_code == again.status_code == 302
    assert first["Evidence-SHA256"] == again["Evidence-SHA256"]
    assert other.status_code == 422
    assert "Another file was already saved" in other.content.decode()
    assert Evidence.everything.count() == 2


def test_f79_the_second_of_two_tabs_is_told_and_keeps_its_words(house):
    row = making.make_delivery(location=house.who.riverside)
    form = {"carrier": row.carrier_id, "arrived_at": "2026-03-10 10:30", "version": "1"}
    first = house.post("edit_delivery", row.pk, **form, driver_name="First")
    second = house.post("edit_delivery", row.pk, **form, driver_name="Second")

    assert first.status_code == 302
    assert second.status_code == 422
    assert "changed this after you opened it" in second.content.decode()
    assert "Second" in second.content.decode()
    row.refresh_from_db()
    assert row.driver_name == "First"


SKIPPED = [
    ("record_acknowledgement", {"number": "C1"}),
    ("record_offer", {"amount": "10.00"}),
    ("record_settlement", {"note": "x"}),
    ("record_receipt", {"words": "Signed for"}),
    ("record_payment", {"amount": "10.00", "method": "check"}),
]


@pytest.mark.parametrize(("page", "form"), SKIPPED)
def test_f80_a_step_skipped_is_named(house, page, form):
    claim = claim_of(house)
    today = timezone.localdate(timezone=CHICAGO).isoformat()

    answer = house.post(page, claim.pk, on=today, version="1", **form)

    assert answer.status_code == 422
    assert LIFE.states["drafted"].against in answer.content.decode()
    claim.refresh_from_db()
    assert claim.state == "drafted"


def test_f80_a_crate_is_not_opened_before_the_receipt_is_signed(house):
    shipment = making.make_shipment(location=house.who.riverside)
    crate = making.make_crate(shipment)
    house.client.force_login(house.who.tomas)

    answer = house.post("open_crate", crate.pk)

    assert answer.status_code == 422
    assert "cannot be opened until the receipt is signed" in answer.content.decode()
    crate.refresh_from_db()
    assert crate.opened_at is None
