"""The way in, on a phone and at a desk."""

import base64
import time

import pytest

from inventory.rules.core.one_time_codes import code_at, step_at
from tests.sites import PASSWORD

pytestmark = pytest.mark.browser


AGE = """
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
for row in Session.objects.all():
    session = SessionStore(row.session_key)
    session["proved_at"] = 0
    session.save()
"""


PIN_FOR = """
import sys
from django.utils import timezone
from inventory.actions.people.dock_phones import set_pin
from inventory.models import User
person = User.objects.get(full_name=sys.argv[1])
set_pin(person=person, at=timezone.now(), pin="408153")
"""


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


def test_two_step_sign_in_from_turning_it_on_to_using_it(visitor, request):
    # Each visitor is a person of their own: one file shares its rows.
    who = {"phone": "tomas", "desk": "abel"}[request.node.callspec.params["visitor"]]
    visitor.sign_in(who, then="/accounts/")
    visitor.look()
    visitor.follow("Turn it on")
    assert visitor.page.get_by_role("img", name="The key for").is_visible()
    visitor.page.get_by_text("Type it instead").click()
    letters = visitor.page.locator("code.ident").inner_text().replace("-", "")
    secret = base64.b32decode(letters)

    def code():
        return code_at(secret, step_at(int(time.time())))

    visitor.page.get_by_label("Code from your app").fill("000000")
    visitor.press("Turn it on")
    assert visitor.page.title().startswith("Error: ")
    visitor.page.get_by_label("Code from your app").fill(code())
    visitor.press("Turn it on")
    codes = visitor.page.locator("#recovery-codes").inner_text().split()
    assert len(codes) == 8
    visitor.follow("I have them")
    visitor.open_menu()
    visitor.press("Sign out")

    visitor.sign_in(who, then="/accounts/")
    assert visitor.page.get_by_role("heading", level=1).inner_text() == "Second step"
    visitor.page.get_by_label("Code from your app").fill(codes[0])
    visitor.press("Sign in")
    assert visitor.page.url.endswith("/accounts/")
    assert visitor.page.get_by_text("7 of 8 recovery codes left").is_visible()
    assert visitor.page.get_by_text("This one").count() == 1


def test_a_one_time_link_is_shown_and_opened(visitor, request):
    new = f"lanterns over wet gravel {request.node.name}"
    visitor.sign_in("ada", then="/people/")
    visitor.open("/people/")
    visitor.follow("Forgot their password Nell Harrow")
    visitor.press("Make the link")
    link = visitor.page.locator("#one-time-link").inner_text()
    visitor.open_menu()
    visitor.press("Sign out")

    visitor.page.goto(link)
    visitor.look()
    for label in ("New password", "New password again"):
        visitor.page.get_by_label(label, exact=True).fill(new)
    visitor.press("Set the password")
    assert visitor.page.get_by_text("Your new password is set").is_visible()
    visitor.page.goto(link)
    visitor.look()
    assert visitor.page.get_by_role("heading", level=1).inner_text() == (
        "This link has ended"
    )


def test_what_was_typed_is_kept_while_it_is_asked_who_it_is(visitor, site):
    visitor.sign_in("ada", then="/people/new/")
    visitor.page.locator("[name=full_name]").fill("Ivo of the kept words")
    aged = site.python(AGE)
    assert aged.communicate()[1] == ""
    visitor.press("Add the person")
    assert visitor.page.get_by_text("Confirm that it is you").first.is_visible()
    visitor.page.get_by_label("Your password").fill(PASSWORD)
    visitor.press("Confirm and go on")
    assert visitor.page.locator("[name=full_name]").input_value() == (
        "Ivo of the kept words"
    )


def test_a_shared_phone_asks_for_a_pin_and_shows_the_dock_alone(visitor, request, site):
    who = {"phone": "Tomas Brandt", "desk": "Rosa Field"}
    name = who[request.node.callspec.params["visitor"]]
    assert site.python(PIN_FOR, name).communicate()[1] == ""
    visitor.sign_in("ada", then="/people/dock-phones/")
    visitor.open("/people/dock-phones/")
    visitor.page.get_by_role("link", name="Make this a shared phone").first.click()
    visitor.look()
    visitor.page.get_by_label("Location").select_option(label="Riverside")
    visitor.page.get_by_label("Name of the phone").fill("Yellow phone")
    visitor.press("Make it a shared phone")
    assert visitor.page.get_by_role("heading", level=1).inner_text() == (
        "Who is at the dock?"
    )
    visitor.page.get_by_text(name, exact=True).click()
    visitor.page.get_by_label("PIN", exact=True).fill("111111")
    visitor.press("Sign in")
    assert visitor.page.title().startswith("Error: ")
    visitor.page.get_by_label("PIN", exact=True).fill("408153")
    visitor.press("Sign in")
    assert visitor.page.url.endswith("/dock/")
    visitor.open_menu()
    assert visitor.page.get_by_role("link", name="Bench", exact=True).count() == 0
    visitor.press("Change person")
    assert visitor.page.url.endswith("/accounts/dock/")


DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def test_a_passkey_is_added_and_signs_in_without_a_password(visitor):
    visitor.address = visitor.address.replace("127.0.0.1", "localhost")
    device = visitor.page.context.new_cdp_session(visitor.page)
    device.send("WebAuthn.enable")
    made = device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    visitor.sign_in("mina", then="/accounts/")
    visitor.follow("Add a passkey")
    visitor.page.get_by_label("Name of this passkey").fill("My phone")
    visitor.press("Add the passkey")
    assert visitor.page.get_by_text("Your passkey is added").is_visible()
    visitor.open_menu()
    visitor.press("Sign out")

    visitor.open("/accounts/login/?next=/carriers/")
    visitor.press("Sign in with a passkey")
    assert visitor.page.url.endswith("/carriers/")

    visitor.open("/accounts/")
    visitor.page.get_by_role("button", name="Remove My phone").first.click()
    visitor.page.get_by_text("The passkey is removed").wait_for()
    visitor.open_menu()
    visitor.press("Sign out")
    visitor.press("Sign in with a passkey")
    assert visitor.page.get_by_text("That passkey opens nothing here").is_visible()
    device.send("WebAuthn.removeVirtualAuthenticator", made)


def test_no_passkey_is_offered_where_the_address_is_a_number(visitor):
    visitor.open("/accounts/login/")
    offered = visitor.page.get_by_role("button", name="Sign in with a passkey")
    assert not offered.is_visible()
