"""The way in, on a phone and at a desk."""

import pytest

pytestmark = pytest.mark.browser


@pytest.fixture(params=["phone", "desk"])
def visitor(request):
    return request.getfixturevalue(request.param)


def test_a_stranger_is_sent_to_the_sign_in_page(visitor):
    assert visitor.open("/people/") == 200
    assert visitor.page.url.endswith("/accounts/login/?next=/people/")
    assert visitor.page.get_by_role("heading", level=1).inner_text() == "Sign in"


def test_a_wrong_password_is_answered_on_the_form(visitor):
    visitor.open("/accounts/login/")
    visitor.page.get_by_label("Username").fill("rosa")
    visitor.page.get_by_label("Password").fill("not the password at all")
    visitor.press("Sign in")

    assert visitor.page.get_by_label("Username").input_value() == "rosa"
    assert visitor.page.title().startswith("Error: ")


def test_the_administrator_lets_a_new_clerk_in(visitor, request):
    who = f"Ivo {request.node.callspec.params['visitor']}"
    visitor.sign_in("ada", then="/people/")
    assert visitor.page.url.endswith("/people/")

    visitor.open("/locations/")
    visitor.open("/people/new/")
    visitor.press("Add the person")  # nothing typed: the form says what to write
    assert visitor.page.title().startswith("Error: ")
    assert visitor.page.url.endswith("/people/new/")

    visitor.page.locator("[name=full_name]").fill(who)
    visitor.page.locator("[name=username]").fill(who.replace(" ", "-").lower())
    visitor.page.locator("[name=password]").fill("tarpaulin-under-the-crane-4")
    riverside = visitor.page.get_by_role("group", name="Riverside")
    riverside.get_by_text("Receiving clerk").click()
    assert riverside.get_by_label("Receiving clerk").is_checked()
    visitor.press("Add the person")
    assert visitor.page.url.endswith("/people/")
    assert visitor.page.get_by_role("row").filter(has_text=who).count() == 1

    visitor.open_menu()
    visitor.press("Sign out")
    assert visitor.page.url.endswith("/accounts/login/")
