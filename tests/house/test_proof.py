"""Acts that would hurt most ask again who it is, and lose nothing that was typed.

OWASP ASVS 5.0, 7.5.1 and 7.5.3: sensitive acts need a proof of their own.
"""

import html
import re
import time
from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase, override_settings
from django.urls import reverse
from django.utils import timezone

from config.proof import ACTS, EXPORTS, PAGES
from inventory.models import Event, SecondFactor, User
from inventory.rules.core.one_time_codes import code_at, step_at
from tests.house.access_rows import make_rows
from tests.house.access_table import ADMINISTRATOR, LISTS, OBJECTS, POST_ONLY
from tests.house.addresses import address_for
from tests.people import cast

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
QUESTION = "Confirm that it is you"
KINDS = {
    **{name: kind for rows in (OBJECTS, POST_ONLY) for some in rows.values() for name, kind in some},
    **dict(ADMINISTRATOR),
    **{name: None for some in LISTS.values() for name in some},
}  # fmt: skip


def fields_of(page):
    """Return what the page's own form would send."""
    text = page.content.decode()
    form = text[text.index("<form", text.index(f"<h1>{QUESTION}")) :]
    form = form[: form.index("</form>")]
    sent = dict(
        re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    )
    areas = re.findall(
        r'<textarea name="([^"]+)"[^>]*>\n(.*?)</textarea>', form, re.DOTALL
    )
    return {name: html.unescape(value) for name, value in [*sent.items(), *areas]}


@override_settings(PROOF_MINUTES=30)
class ProofTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        person, place = [cls.who.rosa.pk], [cls.who.riverside.pk]
        cls.rows = make_rows(cls.who) | {"person": person, "location": place}
        for one in (cls.who.ada, cls.who.mina, cls.who.abel):
            one.set_password(PASSWORD)
            one.save()

    def setUp(self):
        self.client.force_login(self.who.ada)  # who showed no password
        self.page = reverse("edit_person", args=[self.who.rosa.pk])
        self.typed = {
            "version": str(self.who.rosa.version),
            "full_name": "Rosa Field of Riverside",
            "is_active": "on",
            f"roles_{self.who.riverside.pk}": ["clerk"],
        }

    def test_every_such_act_asks_and_none_is_done(self):
        events = Event.objects.count()
        for name in sorted(ACTS):
            url = address_for(self.rows, name, KINDS.get(name))
            answer = self.client.post(url, {"note": "Typed on a cold dock."})
            self.assertContains(answer, QUESTION, status_code=422, msg_prefix=name)
            self.assertContains(answer, "Typed on a cold dock.", status_code=422)
        assert Event.objects.count() == events

    def test_pages_with_a_secret_and_whole_lists_ask_before_they_are_shown(self):
        urls = [reverse(name) for name in PAGES]
        urls += [reverse(name) + "?as=csv" for name in EXPORTS]
        for url in urls:
            page = self.client.get(url)
            self.assertContains(page, QUESTION, msg_prefix=url)
            assert "Content-Disposition" not in page
        assert QUESTION not in self.client.get(reverse("people")).content.decode()

    def test_what_was_typed_goes_on_with_the_password_and_is_saved_once(self):
        asked = self.client.post(self.page, self.typed)
        kept = fields_of(asked)
        assert kept.pop("csrfmiddlewaretoken")
        assert "proof-shown" not in kept
        done = self.client.post(self.page, kept | {"proof-password": PASSWORD})
        self.assertRedirects(done, reverse("people"))
        row = User.objects.get(pk=self.who.rosa.pk)
        assert row.full_name == "Rosa Field of Riverside"
        assert PASSWORD not in str(Event.objects.order_by("sequence").last().body)
        # For half an hour it is not asked again, then it is.
        again = self.typed | {"version": str(row.version)}
        assert self.client.post(self.page, again).status_code == 302
        with time_machine.travel(timezone.now() + timedelta(minutes=31)):
            again = self.typed | {"version": str(row.version + 1)}
            assert self.client.post(self.page, again).status_code == 422

    def test_a_wrong_password_keeps_what_was_typed_and_is_no_free_guess(self):
        asked = self.client.post(self.page, self.typed)
        kept = fields_of(asked)
        for n in range(5):
            asked = self.client.post(self.page, kept | {"proof-password": f"guess {n}"})
            self.assertContains(asked, "not your password", status_code=422)
            assert fields_of(asked)["full_name"] == "Rosa Field of Riverside"
        asked = self.client.post(self.page, kept | {"proof-password": PASSWORD})
        self.assertContains(asked, "Too many wrong tries", status_code=422)
        assert User.objects.get(pk=self.who.rosa.pk).full_name == "Rosa Field"

    def test_a_new_person_s_password_is_in_no_page_and_alone_typed_again(self):
        typed = {"full_name": "Ivo Marsh", "username": "ivo"}
        url, secret = reverse("add_person"), "four green pallets"
        asked = self.client.post(url, typed | {"password": secret})
        self.assertNotContains(asked, secret, status_code=422)
        self.assertContains(asked, "typed again", status_code=422)
        kept = fields_of(asked) | {"proof-password": PASSWORD}
        form = self.client.post(url, kept)
        self.assertContains(form, "Enter a first password", status_code=422)
        self.assertContains(form, "Ivo Marsh", status_code=422)

    def test_files_are_named_as_lost(self):
        file = SimpleUploadedFile("people.csv", b"name\n", "text/csv")
        asked = self.client.post(reverse("import_people"), {"file": file})
        self.assertContains(asked, "Choose your files again", status_code=422)

    def test_whoever_has_a_second_step_shows_it_too(self):
        secret = b"12345678901234567890"
        SecondFactor.objects.create(
            person=self.who.ada, secret=secret, last_step=0, added_at=timezone.now()
        )
        with time_machine.travel(timezone.now(), tick=False):
            kept = fields_of(self.client.post(self.page, self.typed))
            kept["proof-password"] = PASSWORD
            assert self.client.post(self.page, kept).status_code == 422
            kept["proof-code"] = code_at(secret, step_at(int(time.time())))
            assert self.client.post(self.page, kept).status_code == 302

    def test_a_list_is_taken_away_after_the_answer(self):
        self.client.force_login(self.who.abel)
        url = reverse("journal") + "?as=csv"
        kept = fields_of(self.client.get(url))
        done = self.client.post(url, kept | {"proof-password": PASSWORD})
        assert done.url == url
        assert "attachment" in self.client.get(url)["Content-Disposition"]

    def test_who_just_signed_in_is_not_asked(self):
        browser = Client()
        browser.post(reverse("login"), {"username": "ada", "password": PASSWORD})
        assert browser.post(self.page, self.typed).status_code == 302

    def test_a_phone_is_told_why_not(self):
        answer = self.client.post(self.page, self.typed, headers={"Dock-Phone": "1"})
        assert answer.status_code == 403
        assert "confirm" in answer.json()["error"]
