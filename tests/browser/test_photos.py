"""Photos go one by one the moment they are chosen, and none is lost on a form."""

import json
from hashlib import sha256

import pytest
from playwright.sync_api import expect

from tests.browser.dockside import (
    chip,
    fill_exception,
    photo,
    photos_of,
    run,
    save_exception,
    truck_at_dock,
)
from tests.pictures import blurred_jpeg

pytestmark = pytest.mark.browser

_KINDS = """
import json, sys
from inventory.models import Evidence
rows = Evidence.objects.filter(delivery=sys.argv[1]).order_by("received_at")
print(json.dumps([[row.kind, row.caption] for row in rows]))
"""
_HASHES = """
import json, sys
from inventory.models import Evidence
rows = Evidence.objects.filter(delivery=sys.argv[1])
print(json.dumps(sorted(row.original_id for row in rows)))
"""
_LOSE_FIRST = """
() => new Promise((resolve) => {
    const ask = indexedDB.open("dock");
    ask.onsuccess = () => {
        const rows = ask.result.transaction("items", "readwrite").objectStore("items");
        rows.getAll().onsuccess = ({ target }) => {
            const [first] = target.result.sort((one, other) => one.created - other.created);
            rows.delete(first.id).onsuccess = resolve;
        };
    };
})
"""
"""Let the phone lose the copy that it took first."""
READ_WITHIN = 30_000
"""Milliseconds: the server of a site begins to read some seconds after its start."""
BAD = {"name": "notes.jpg", "mimeType": "image/jpeg", "buffer": b"no picture at all"}


@pytest.fixture
def crate(site, phone, request):
    """Open the page of a crate at the dock, as Rosa; give the crate's key."""
    _truck, crate, _other = truck_at_dock(
        site, f"PH-{abs(hash(request.node.name)) % 10**6}"
    )
    phone.sign_in("rosa", then=f"/crates/{crate}/look/")
    return crate


def camera(page):
    return page.locator(".tile-camera input")


def gallery(page):
    return page.locator(".tile-gallery input")


def sent(page, count):
    expect(page.locator(".tile[data-state=sent]")).to_have_count(count)


def test_choosing_twice_adds_and_each_is_saved_at_once(site, phone, crate):
    page = phone.page
    camera(page).set_input_files(photo("one.jpg", (90, 60, 40)))
    sent(page, 1)
    gallery(page).set_input_files(
        [photo("two.jpg", (20, 60, 40)), photo("three.jpg", (90, 60, 140))]
    )
    sent(page, 3)

    phone.look()
    assert len(photos_of(site, crate)) == 3, "saved before the form is"
    assert page.locator("[name=photos_kept]").count() == 3


def test_one_missed_field_keeps_every_photo(site, phone, crate):
    page = phone.page
    gallery(page).set_input_files(
        [photo("one.jpg", (91, 60, 40)), photo("two.jpg", (21, 60, 40))]
    )
    fill_exception(page, severity="")
    phone.press("Save exception")

    assert page.title().startswith("Error: ")
    sent(page, 2)
    chip(page, "Severe").tap()
    phone.press("Save exception")

    assert page.url.endswith("/tailgate/")
    assert [findings for _, _, _, findings, _ in photos_of(site, crate)] == [1, 1]


def test_one_bad_file_is_named_and_the_others_are_kept(site, phone, crate):
    page = phone.page
    gallery(page).set_input_files(
        [photo(f"{n}.jpg", (n, 61, 40)) for n in (1, 2)]
        + [BAD, photo("4.jpg", (4, 4, 4))]
    )
    sent(page, 3)
    page.wait_for_selector(".tile[data-state=failed]")
    phone.complaints.clear()  # the refusal is a 4xx, which is what it should be

    assert "Photo 3: not sent" in page.locator(".strip-about").inner_text()
    assert "not a photo" in page.locator(".strip-about").inner_text()
    phone.look()
    page.get_by_role("button", name="Remove", exact=True).tap()
    assert page.locator(".tile[data-state]").count() == 3
    assert len(photos_of(site, crate)) == 3


def test_a_blurred_one_is_pointed_at_and_taken_again_without_losing_the_form(
    site, phone, crate
):
    page = phone.page
    fill_exception(page, "Fork hole 20 cm")
    gallery(page).set_input_files(
        [
            photo("sharp.jpg", (92, 60, 40)),
            {"name": "soft.jpg", "mimeType": "image/jpeg", "buffer": blurred_jpeg()},
        ]
    )
    sent(page, 2)

    remark = page.locator(".strip-remark")  # said once the photo is read
    expect(remark).to_contain_text("Photo 2: ", timeout=READ_WITHIN)
    assert "looks blurred" in remark.inner_text()
    phone.look()
    with page.expect_file_chooser() as asked:
        remark.get_by_role("button", name="Take it again").tap()
    asked.value.set_files(photo("again.jpg", (40, 60, 92)))
    expect(page.locator(".strip-remark")).to_have_count(0)
    sent(page, 2)

    assert page.locator("[name=note]").input_value() == "Fork hole 20 cm"
    assert page.locator("[name=where][value=side-4]").is_checked()
    assert len(photos_of(site, crate)) == 3, "the blurred original stays"


def test_removing_before_the_answer_drops_it_and_afterwards_unticks_it(
    site, phone, crate
):
    page = phone.page
    lost = []  # the first is never answered
    page.route(
        "**/photos/capture/**",
        lambda route: route.continue_() if lost else lost.append(route),
    )
    camera(page).set_input_files(photo("one.jpg", (93, 60, 40)))
    page.locator(".tile[data-state=waiting] button").tap()
    page.get_by_role("button", name="Remove", exact=True).tap()
    assert page.locator(".tile[data-state]").count() == 0

    camera(page).set_input_files(photo("two.jpg", (94, 60, 40)))
    sent(page, 1)
    assert len(photos_of(site, crate)) == 1, "the first never left the phone"
    page.locator(".tile[data-state=sent] button").tap()
    page.get_by_role("button", name="Remove", exact=True).tap()
    assert page.locator("[name=photos_kept]").count() == 0
    assert len(photos_of(site, crate)) == 1


def test_a_form_waits_for_a_photo_that_is_on_its_way(site, phone, crate):
    page = phone.page
    held = []

    def hold(route):
        held.append(route)

    page.route("**/photos/capture/**", hold)
    camera(page).set_input_files(photo("one.jpg", (95, 60, 40)))
    page.wait_for_selector(".tile[data-state=waiting]")
    fill_exception(page)
    save_exception(page)
    page.wait_for_timeout(300)
    assert page.url.endswith("/look/"), "the form waits"
    with page.expect_navigation():
        held[0].continue_()

    assert [findings for _, _, _, findings, _ in photos_of(site, crate)] == [1]


def test_more_photos_go_one_by_one_with_their_kind_and_caption(site, phone):
    truck, _crate, _other = truck_at_dock(site, "PH-MORE")
    phone.sign_in("rosa")
    phone.open(f"/evidence/new/?delivery={truck}&kind=load")
    page = phone.page
    gallery(page).set_input_files([photo("one.jpg", (93, 60, 40)), BAD])
    sent(page, 1)
    page.wait_for_selector(".tile[data-state=failed]")
    phone.complaints.clear()  # the refusal is a 4xx, which is what it should be
    page.get_by_role("button", name="Remove", exact=True).tap()
    page.get_by_label("Kind of photo").select_option("label")
    page.get_by_label("Caption").fill("Seal 4471")
    camera(page).set_input_files(photo("two.jpg", (23, 60, 40)))
    sent(page, 2)
    phone.look()
    assert json.loads(run(site, _KINDS, truck)) == [
        ["load", ""],
        ["label", "Seal 4471"],
    ], "saved before the form is"
    phone.press("Save")

    assert "2 files added." in page.locator("main").inner_text()
    assert len(json.loads(run(site, _KINDS, truck))) == 2


def test_a_photo_of_another_kind_that_waits_is_no_photo_of_this_form(site, phone):
    truck, crate, _other = truck_at_dock(site, "PH-KIND")
    phone.sign_in("rosa")
    phone.open(f"/evidence/new/?crate={crate}&kind=label")
    page = phone.page
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.route("**/photos/capture/**", lambda route: route.abort())
    camera(page).set_input_files(photo("label.jpg", (94, 60, 40)))
    page.wait_for_selector(".tile[data-state=failed]")
    page.goto(page.url.partition("/evidence")[0] + f"/crates/{crate}/look/")
    phone.complaints.clear()  # what was cut off is no news
    expect(page.locator("#phone-line")).to_contain_text("1 photo waiting")
    expect(page.locator(".tile[data-state]")).to_have_count(0)
    page.unroute("**/photos/capture/**")
    page.get_by_role("button", name="Send now (1)").tap()
    expect(page.locator("#phone-line")).to_have_count(0)

    assert json.loads(run(site, _KINDS, truck)) == [["label", ""]]


def test_a_form_shown_again_still_has_the_photo_of_its_truck(site, phone):
    """Nothing says "waiting" of a photo that the form carries, before or after."""
    phone.sign_in("rosa", then="/deliveries/new/")
    page = phone.page
    line = page.locator("#phone-line")
    camera(page).set_input_files(photo("load.jpg", (95, 60, 40)))
    sent(page, 1)
    expect(line).to_have_count(0)
    page.locator("[name=pro_number]").fill("PH-HELD")
    phone.press("Log a truck")

    assert page.title().startswith("Error: ")
    expect(page.locator(".tile[data-state=sent] img")).to_be_visible()
    page.wait_for_timeout(500)  # the queue had its turn
    expect(line).to_have_count(0)
    page.locator("[name=carrier]").first.check(force=True)
    phone.press("Log a truck")

    assert "load photo saved" in page.locator("main").inner_text()
    expect(line).to_have_count(0)
    truck = page.url.split("/")[-3]
    assert json.loads(run(site, _KINDS, truck)) == [["load", ""]]


def test_of_photos_with_one_name_the_one_taken_off_stays_away(site, phone):
    """Many phones name every photo alike: a form shown again knows each by its id."""
    phone.sign_in("rosa", then="/deliveries/new/")
    page = phone.page
    taken = [photo("image.jpg", (98, 60, shade)) for shade in (10, 90, 170, 250)]
    for number, one in enumerate(taken, start=1):
        camera(page).set_input_files(one)
        sent(page, number)
    page.evaluate(_LOSE_FIRST)
    page.locator("[name=pro_number]").fill("PH-ALIKE")
    phone.press("Log a truck")

    assert page.title().startswith("Error: ")
    pictures = page.locator(".tile[data-state=sent] img")
    expect(pictures.first).to_be_hidden()
    for place in (1, 2, 3):
        expect(pictures.nth(place)).to_be_visible()
    page.locator(".tile[data-state=sent] button").first.tap()
    page.get_by_role("button", name="Remove", exact=True).tap()
    page.locator("[name=carrier]").first.check(force=True)
    phone.press("Log a truck")

    page.wait_for_timeout(1_000)  # the queue had its turn
    expect(page.locator("#phone-line")).to_have_count(0)
    truck = page.url.split("/")[-3]
    kept = json.loads(run(site, _HASHES, truck))
    assert kept == sorted(sha256(one["buffer"]).hexdigest() for one in taken[1:])


def test_a_photo_taken_off_the_form_does_not_follow_its_truck(site, phone):
    phone.sign_in("rosa", then="/deliveries/new/")
    page = phone.page
    camera(page).set_input_files(photo("thumb.jpg", (96, 60, 40)))
    sent(page, 1)
    page.locator(".tile[data-state=sent] button").tap()
    page.get_by_role("button", name="Remove", exact=True).tap()
    page.locator("[name=pro_number]").fill("PH-TAKEN-OFF")
    page.locator("[name=carrier]").first.check(force=True)
    phone.press("Log a truck")

    page.wait_for_timeout(500)  # the queue had its turn
    truck = page.url.split("/")[-3]
    assert json.loads(run(site, _KINDS, truck)) == []


def test_send_now_sends_the_photos_of_the_open_form_too(site, phone, crate):
    page = phone.page
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.route("**/photos/capture/**", lambda route: route.abort())
    camera(page).set_input_files(photo("one.jpg", (97, 60, 40)))
    page.wait_for_selector(".tile[data-state=failed]")
    phone.complaints.clear()  # what was cut off is no news
    page.unroute("**/photos/capture/**")
    page.get_by_role("button", name="Send now (1)").tap()

    sent(page, 1)
    expect(page.locator("#phone-line")).to_have_count(0)
    assert len(photos_of(site, crate)) == 1


def test_why_a_photo_is_refused_is_told_beside_it_alone_and_legibly(site, phone, crate):
    page = phone.page
    gallery(page).set_input_files([BAD])
    page.wait_for_selector(".tile[data-state=failed]")
    phone.complaints.clear()  # the refusal is a 4xx, which is what it should be

    expect(page.locator("#phone-line")).to_have_count(0)
    words = page.locator(".strip-about.long > div").first.bounding_box()
    assert words["width"] >= 200, "no column of single words"
