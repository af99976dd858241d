"""A photo is marked by touch, by mouse and by keys alone."""

import re

import pytest

from tests.pictures import jpeg

pytestmark = pytest.mark.browser


@pytest.fixture
def marking(request):
    """Return a function that adds a photo as rosa and opens the page that marks it."""

    def opened(visitor):
        page = visitor.page
        visitor.sign_in("rosa", "/search/?q=PRO-330815")
        visitor.follow("PRO PRO-330815")
        bill = re.search(r"/(\d+)/", page.url)[1]
        visitor.open(f"/evidence/new/?shipment={bill}&kind=damage")
        photo = jpeg(colour=(90 + len(request.node.name), 60, 200))
        page.get_by_label("Caption").fill(request.node.name)
        page.locator(".tile-gallery input").set_input_files(
            [{"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": photo}]
        )
        visitor.press("Save")
        page.locator("figure", has_text=request.node.name).get_by_role("link").click()
        page.wait_for_url("**/evidence/**")
        visitor.look()
        visitor.follow("Mark the photo")
        return page

    return opened


def place_on(page, across, down):
    """Return where a place of the photo is on the screen, having scrolled to it."""
    stage = page.locator("[data-stage]")
    stage.scroll_into_view_if_needed()
    box = stage.bounding_box()
    return box["x"] + box["width"] * across, box["y"] + box["height"] * down


def tap(page, across, down):
    page.touchscreen.tap(*place_on(page, across, down))


def said(page):
    return page.locator("[data-says]").inner_text()


def value(page, name):
    return page.locator(f"[name={name}]").input_value()


def test_a_circle_and_words_by_two_taps_and_one(phone, marking):
    page = marking(phone)
    assert not page.locator("[data-grid]").count()
    page.get_by_role("button", name="Circle", exact=True).tap()
    assert "Tap the middle" in said(page)
    tap(page, 0.5, 0.5)
    assert said(page) == "Now tap its edge."
    tap(page, 0.7, 0.5)
    assert said(page) == "Circle added."
    assert abs(float(value(page, "mark-0-x1")) - 30) < 1
    assert abs(float(value(page, "mark-0-x2")) - 70) < 1
    # 640 x 480: a circle is a third higher, in shares of the picture, than wide.
    assert abs(float(value(page, "mark-0-y1")) - (50 - 20 * 4 / 3)) < 1

    page.get_by_role("button", name="Words", exact=True).tap()
    tap(page, 0.2, 0.2)
    page.keyboard.type("Slat broken")
    assert page.locator("svg.marks text").last.text_content() == "Slat broken"
    phone.look()

    phone.press("Save the marks")

    assert page.locator("svg.marks ellipse").count() == 2
    label = page.locator("svg.marks").get_attribute("aria-label")
    assert label == "Marks: 1 circle, words; Slat broken"


def test_a_measure_line_by_dragging_with_the_mouse(desk, marking):
    page = marking(desk)
    page.get_by_role("button", name="Measure", exact=True).click()
    page.mouse.move(*place_on(page, 0.1, 0.5))
    page.mouse.down()
    page.mouse.move(*place_on(page, 0.9, 0.5))
    page.mouse.up()
    page.keyboard.type("3 1/2")
    page.get_by_label("Unit").locator("visible=true").select_option("in")
    desk.press("Save the marks")
    assert page.locator("svg.marks text").last.text_content() == "3 1/2 in"


def test_what_the_page_draws_is_what_the_server_draws(desk, marking):
    page = marking(desk)
    for number, (kind, ends) in enumerate(
        {
            "Arrow": ((0.1, 0.1), (0.4, 0.3)),
            "Circle": ((0.6, 0.6), (0.8, 0.6)),
            "Measure": ((0.2, 0.9), (0.7, 0.8)),
        }.items()
    ):
        page.get_by_role("button", name=kind, exact=True).click()
        for end in ends:
            page.mouse.click(*place_on(page, *end))
        assert page.locator("svg.marks > *").count() > number
    page.keyboard.type("12")
    page.get_by_label("Unit").locator("visible=true").select_option("mm")
    drawn = shapes_in(page)
    desk.press("Save the marks")
    kept = shapes_in(page)

    assert [name for name, _ in drawn] == [name for name, _ in kept]
    for (_, ours), (_, theirs) in zip(drawn, kept, strict=True):
        assert all(abs(a - b) <= 6 for a, b in zip(ours, theirs, strict=True))


def shapes_in(page):
    """Return name and numbers of each shape over the photo."""
    names = ["points", "cx", "cy", "rx", "ry", "x", "y", "stroke-width", "font-size"]
    parts = page.evaluate(
        "names => [...document.querySelectorAll('svg.marks > *')].map(part => "
        "[part.tagName, names.map(name => part.getAttribute(name) ?? '').join(' ')])",
        names,
    )
    return [
        (name, [float(one) for one in re.findall(r"-?[\d.]+", text)])
        for name, text in parts
    ]


def test_keys_alone_make_move_size_remove_and_bring_back(desk, marking):
    page = marking(desk)
    arrow = page.get_by_role("button", name="Arrow", exact=True)
    arrow.focus()
    page.keyboard.press("Enter")
    assert arrow.get_attribute("aria-pressed") == "true"
    page.get_by_role("button", name="Put it in the Middle").focus()
    page.keyboard.press("Enter")
    assert said(page) == "Arrow added."
    assert page.evaluate("document.activeElement.textContent") == "1. Arrow"

    page.keyboard.press("ArrowLeft")
    assert (value(page, "mark-0-x1"), value(page, "mark-0-x2")) == ("49", "69")
    assert "49 % from the left" in said(page)
    page.keyboard.press("Shift+ArrowDown")
    assert (value(page, "mark-0-y1"), value(page, "mark-0-y2")) == ("50", "51")
    assert page.evaluate("document.activeElement.textContent") == "1. Arrow"
    desk.look()

    page.keyboard.press("Delete")
    assert value(page, "mark-0-kind") == ""
    assert page.evaluate("document.activeElement.textContent") == "Undo"
    page.keyboard.press("Enter")
    assert value(page, "mark-0-kind") == "arrow"
    page.get_by_role("button", name="Clear", exact=True).click()
    assert value(page, "mark-0-kind") == ""
    page.get_by_role("button", name="Undo", exact=True).click()
    desk.press("Save the marks")
    assert page.locator("svg.marks polyline").count() == 4


def test_it_goes_no_further_than_the_edge(desk, marking):
    page = marking(desk)
    page.get_by_role("button", name="Circle", exact=True).click()
    for place in ((0.05, 0.5), (0.3, 0.5)):
        page.mouse.click(*place_on(page, *place))
    assert value(page, "mark-0-x1") == "0"
    page.keyboard.press("ArrowLeft")
    assert said(page) == "It goes no further."
    assert value(page, "mark-0-x1") == "0"
