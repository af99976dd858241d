"""Three mowers at the bench, on a phone: damage, an adjustment, a sign-off."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from tests.browser.dockside import photo, run
from tests.browser.test_offline import Phone, all_sent

pytestmark = pytest.mark.browser

_MOWER = """
import json, sys
from datetime import timedelta
from django.utils import timezone
from claims.actions.core.deadlines import count_deadlines
from claims.actions.bench.line_readings import LineTaken, read_line
from claims.actions.bench.setup_lists import make_entry
from claims.actions.bench.opening import open_crate
from claims.actions.bench.setups import begin_setup
from claims.rules.bench.targets import Target
from inventory.models import User
from inventory.rules.reckoning.quantities import parse_quantity
from tests import making

name, but = sys.argv[1], sys.argv[2].split(",")
tomas, mina = (User.objects.get(username=one) for one in ("tomas", "mina"))
at = timezone.now() - timedelta(hours=2)
carrier = making.make_carrier(name=f"Carrier of {name}")
truck = making.make_signed_delivery(carrier=carrier, arrived_at=at)
supplier = making.make_supplier(name=f"Supplier of {name}")
bill = making.make_shipment(
    carrier=carrier, supplier=supplier, pro_number=f"PRO-{name}"
)
making.make_handover(truck, bill)
crate = making.make_crate(
    bill, delivery=truck, mark=f"MK-{name}", look="clear"
)
unit = making.make_unit(bill, crate=crate, model=f"Mower {name}", serial=f"SN-{name}")


def limit(text):
    return parse_quantity(text, "in")


make_entry(
    person=mina, at=at, location=bill.location, model=unit.model, kind="ride-on-mower",
    manual="Operator's manual 4821",
    targets=[
        Target("deck-level", "apart", ("left", "right"), None, limit("1/8"), "page 31"),
        Target("deck-level", "lower", ("front", "rear"), limit("1/8"), limit("1/4"), "page 31"),
    ],
)
count_deadlines(shipment=bill, at=at, person=tomas)
open_crate(person=tomas, at=at, crate=crate)
unit.refresh_from_db()
doing = {"person": tomas, "at": at, "unit": unit}
begin_setup(kind="ride-on-mower", **doing)
FIGURES = {"pressure": "14", "voltage": "12.6", "torque": "80", "hours": "0.4", "stop": "4"}
for line in unit.setups.get().setup_list.rows:
    asked = line.readings
    points = asked.points if asked and not line.may_skip_reading else ()
    figure = FIGURES.get(asked.measure if asked else "", "4")
    if line.key not in but:
        readings = {point: "3 13/16" if point == "front" else figure for point in points}
        taken = LineTaken(line.key, "right", readings, confirmed=True)
        read_line(taken=taken, **doing)
print(json.dumps(unit.pk))
"""
_READINGS = """
import json, sys
from claims.models import SetupReading
rows = SetupReading.objects.filter(setup__unit=sys.argv[1], line=sys.argv[2])
print(json.dumps([[row.result, row.photos.count()] for row in rows.order_by("pk")]))
"""


def mower(site, name, *but):
    """Make a mower whose setup has begun, with every line right but these."""
    return json.loads(run(site, _MOWER, name, ",".join(but)))


def read(visitor, **readings):
    for point, text in readings.items():
        visitor.page.locator(f"input[name=reading_{point}]").fill(text)


def say(visitor, name, value):
    visitor.page.locator(f"input[name={name}][value='{value}']").check()


def test_a_bent_hanger_is_damage_with_its_hold_and_its_clock(site, phone):
    unit = mower(site, "BENT", "deck-level", "tracking")
    phone.sign_in("tomas", then=f"/units/{unit}/setup/lines/deck-level/")
    expect(phone.page.locator("input[name=places]").first).to_be_hidden()
    read(phone, left="3 1/2", right="3¾", front='3-3/4"', rear="3.9375")
    say(phone, "result", "wrong")
    say(phone, "signs", "bent")
    say(phone, "places", "deck-left")
    phone.page.locator("textarea[name=note]").fill("Left hanger is bent.")
    take(phone)
    phone.press("Save and go on")

    main = phone.page.locator("main")
    expect(main).to_contain_text("Looks like damage")
    expect(main).to_contain_text("Notice clock.")
    expect(phone.page.locator(".reading-ruler.high")).to_contain_text("1/4 in apart")
    phone.follow("Damage: record a finding")
    assert phone.page.locator("input[name=places][value=deck-left]").is_checked()
    phone.page.get_by_label("Part (optional)").fill("Left deck hanger")
    say(phone, "severity", "moderate")
    say(phone, "cause", "transit")
    phone.press("Record the finding")

    expect(main).to_contain_text("Left deck hanger: bent")
    expect(main).to_contain_text("On hold.")
    expect(main).to_contain_text("Left of the deck")
    expect(main).to_contain_text("Notice of concealed damage")
    phone.open(f"/units/{unit}/setup/lines/deck-level/")
    expect(main).to_contain_text("Not now.")


def take(visitor):
    """Take a photo, and wait until it is sent."""
    page = visitor.page
    page.locator(".tile-gallery input").set_input_files(
        [photo("hanger.jpg", (9, 90, 60))]
    )
    expect(page.locator(".tile[data-state=sent]")).to_have_count(1)


def test_an_adjustment_keeps_both_readings(site, phone):
    unit = mower(site, "ADJUST", "deck-level", "tracking")
    phone.sign_in("tomas", then=f"/units/{unit}/setup/lines/deck-level/")
    read(phone, left="3 3/4", right="4", front="3 3/4", rear="3 15/16")
    take(phone)
    phone.press("Save and go on")
    say(phone, "decision", "adjustment")
    phone.press("Save the decision")
    read(phone, left="3 3/4", front="3 3/4", rear="3 15/16")
    right = phone.page.locator("input[name=reading_right]")
    more = phone.page.get_by_role("button", name="Right, in: 1/16 more")
    less = phone.page.get_by_role("button", name="Right, in: 1/16 less")
    more.click()
    assert right.input_value() == "3 3/4"
    more.click()
    assert right.input_value() == "3 13/16"
    less.click()
    assert right.input_value() == "3 3/4"
    phone.press("Save and go on")

    phone.open(f"/units/{unit}/setup/lines/deck-level/")
    assert phone.page.locator(".reading-ruler.right").count() == 2
    phone.page.get_by_text("Read 2 times, first as found").click()
    expect(phone.page.locator("main")).to_contain_text("right 4 in")


def test_one_item_stays_open_and_a_dead_seat_switch_never_does(site, phone):
    unit = mower(site, "SIGN", "interlocks", "registration")
    phone.sign_in("tomas", then=f"/units/{unit}/setup/lines/interlocks/")
    say(phone, "result", "wrong")
    phone.page.locator("textarea[name=note]").fill("The seat switch is dead.")
    take(phone)
    phone.press("Save and go on")
    say(phone, "decision", "adjustment")
    phone.press("Save the decision")
    phone.open(f"/units/{unit}/sign-off/")
    main = phone.page.locator("main")
    expect(main).to_contain_text("These must be right first: Safety switches")
    assert phone.page.get_by_role("button", name="Sign off").count() == 0

    phone.open(f"/units/{unit}/setup/lines/interlocks/")
    say(phone, "result", "right")
    phone.press("Save and go on")
    phone.open(f"/units/{unit}/sign-off/")
    phone.page.get_by_label("Who sees to it?").fill("Tomas Brandt")
    week = datetime.now(UTC).date() + timedelta(days=7)
    phone.page.locator("input[name=by_registration]").fill(week.isoformat())
    phone.press("Sign off")
    expect(main).to_contain_text("Complete, with open items")
    phone.open(f"/units/{unit}/leave/")
    expect(main).to_contain_text("Still open:")
    expect(main).to_contain_text("Tomas Brandt")


def test_a_line_read_without_signal_waits_with_its_photo_and_arrives_once(
    chromium, server
):
    unit = mower(server.site, "NOSIGNAL", "keys")
    phone = Phone(chromium, server)
    phone.sign_in("tomas", then=f"/units/{unit}/setup/lines/keys/")
    phone.context.set_offline(True)
    phone.page.locator(".tile-gallery input").set_input_files(
        [photo("key.jpg", (200, 90, 60))]
    )
    expect(phone.page.locator(".tile[data-state=failed]")).to_have_count(1)
    phone.page.locator("input[name=result][value=wrong]").check()
    phone.page.locator("textarea[name=note]").fill("One key is bent.")
    phone.page.get_by_role("button", name="Save and go on").click()
    expect(phone.page.locator(".saved-here")).to_be_visible()
    expect(phone.line).to_contain_text("1 photo and 1 form waiting")
    assert json.loads(run(server.site, _READINGS, str(unit), "keys")) == []

    phone.close_tab()
    phone.context.set_offline(False)
    phone.new_tab()
    phone.open("/bench/")
    all_sent(phone)
    assert json.loads(run(server.site, _READINGS, str(unit), "keys")) == [["wrong", 1]]
    phone.context.close()
