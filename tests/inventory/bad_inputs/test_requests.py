"""Requests that are broken, forged, out of turn or from someone who may not."""

import base64
import uuid
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from config.addresses import client_address
from inventory.models import Evidence, User
from tests import making
from tests.inventory.bad_inputs.bodies import TYPE, form_of, part, through_the_door
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.one_in(3)]

PASSWORD = "seven brown crates"

TOO_MUCH = [
    # number, what is sent, status, words
    (
        "F62 text",
        {"caption": "x" * 3_000_000},
        413,
        "The text on this page is too long",
    ),
    (
        "F62 fields",
        {f"f{n}": "x" for n in range(1_001)},
        413,
        "You can send at most 1000 fields",
    ),
]


@pytest.mark.parametrize("row", TOO_MUCH, ids=[row[0] for row in TOO_MUCH])
def test_f62_more_than_a_page_can_hold(house, row):
    number, form, status, words = row
    answer = house.client.post(house.url, form)

    assert answer.status_code == status, number
    assert words in answer.content.decode()
    assert "Nothing was saved" in answer.content.decode()


def test_f62_a_body_that_is_no_form_of_ours(house):
    answer = house.client.generic(
        "POST", house.url, "[" * 10_000 + "]" * 10_000, content_type="application/json"
    )

    assert answer.status_code == 400
    assert "No photo arrived" in answer.content.decode()


def whole(photo=None, *headers):
    data = jpeg() if photo is None else photo
    return form_of(part("kind", b"load"), part("photos", data, "a.jpg", *headers))


def test_f63_an_upload_cut_at_each_tenth_is_no_empty_form(house):
    body = whole()
    for tenth in range(10):
        cut = body[: len(body) * tenth // 10]
        status, text = through_the_door(
            house.client, house.url, cut, CONTENT_LENGTH=str(len(body))
        )
        assert status == 400, tenth
        assert "Upload incomplete" in text
        assert "still on your phone" in text
    assert Evidence.everything.count() == 1


def test_f63_an_upload_without_its_last_line(house):
    body = whole().removesuffix(b"--a-line-between--\r\n")
    kept = Evidence.everything.count()

    status, text = through_the_door(house.client, house.url, body)

    assert status in {302, 400}
    assert (Evidence.everything.count() == kept) == (status == 400)
    assert status == 302 or "arrive" in text


def test_the_same_way_in_takes_a_whole_upload(house):
    assert through_the_door(house.client, house.url, whole())[0] == 302
    assert Evidence.everything.count() == 2


def test_f64_more_announced_than_sent(house):
    body = whole()
    status, text = through_the_door(
        house.client, house.url, body, CONTENT_LENGTH=str(len(body) + 1)
    )

    assert status == 400
    assert "Upload incomplete" in text


def test_f64_no_length_at_all(house):
    status, text = through_the_door(house.client, house.url, whole(), CONTENT_LENGTH="")

    assert status == 400
    assert "No photo arrived" in text


def test_f64_base64_drowned_in_spaces(house):
    coded = base64.b64encode(jpeg())
    drowned = coded[:100] + b" " * 1_000_000 + coded[100:]
    body = whole(drowned, "Content-Transfer-Encoding: base64")

    status, _ = through_the_door(house.client, house.url, body)

    assert status == 302
    assert Evidence.objects.exclude(pk=house.first.pk).get().original.size == len(
        jpeg()
    )


def test_f84_an_act_is_no_address_to_open(house):
    house.client.force_login(house.who.rosa)
    delivery = making.make_delivery(location=house.who.riverside)

    assert house.get("clear_rest", delivery.pk).status_code == 405


def test_f84_a_form_without_its_proof_of_origin(house):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(house.who.rosa)

    answer = strict.generic("POST", house.url, whole(), content_type=TYPE)

    assert answer.status_code == 403
    assert "out of date" in answer.content.decode()
    assert "Nothing was saved" in answer.content.decode()


def test_f84_after_signing_in_again_the_photo_still_goes_up(house):
    number = str(uuid.uuid4())
    house.client.logout()
    refused = house.send(jpeg(), client_id=number)
    assert refused.status_code == 302
    assert refused.url.startswith(reverse("login"))
    assert Evidence.everything.count() == 1

    house.client.force_login(house.who.rosa)
    assert house.send(jpeg(), client_id=number)["Evidence-SHA256"]
    assert Evidence.everything.count() == 2


def test_f85_a_foreign_host(house, caplog):
    answer = house.client.get(reverse("dock"), headers={"host": "evil.example"})
    assert answer.status_code == 400
    assert "evil.example" in caplog.text


@pytest.mark.parametrize(
    "away",
    [
        "//evil.example",
        "https://evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
    ],
)
def test_f85_no_way_out_by_next(house, away):
    house.url += f"&next={away}"
    assert house.send(jpeg()).url == reverse("delivery", args=[house.delivery.pk])

    person = User.objects.get(pk=house.who.rosa.pk)
    person.set_password(PASSWORD)
    person.save()
    answer = Client().post(
        reverse("login"), {"username": "rosa", "password": PASSWORD, "next": away}
    )
    assert answer.url == "/"


def test_f85_a_forged_address_is_not_believed(rf):
    request = rf.get("/", REMOTE_ADDR="198.51.100.7", HTTP_X_FORWARDED_FOR="127.0.0.1")
    assert client_address(request) == "198.51.100.7"


KEYS = ["-1", "0", str(2**63), "9" * 400, "abc", "1;DROP", "%00", "1.0"]


@pytest.mark.parametrize("key", KEYS)
def test_f86_a_key_that_no_row_has(house, key):
    for noun in ("deliveries", "shipments", "units", "claims", "findings", "evidence"):
        assert house.client.get(f"/{noun}/{key}/").status_code == 404
    assert house.client.get(f"/evidence/new/?delivery={key}").status_code == 404


def test_f86_a_photo_of_another_dock_and_one_that_never_was(house):
    other = making.make_delivery(location=house.who.hillcrest)
    theirs = making.make_evidence(delivery=other)

    for pk in (theirs.pk, uuid.uuid4()):
        for page in (("evidence", pk), ("photo", pk, 320), ("original", pk)):
            assert house.get(*page).status_code == 404


@pytest.mark.parametrize(
    "query",
    [
        "page=999999999",
        "page=-1",
        "page=9e9",
        "page=\uff11",
        "sort=password",
        "q=" + "x" * 5_000,
        "as=exe",
    ],
)
def test_f87_a_question_out_of_range(house, query):
    for name in ("deliveries", "dock", "search"):
        answer = house.client.get(f"{reverse(name)}?{query}")
        assert answer.status_code in {200, 400, 404}
        assert "md5$" not in answer.content.decode()


def sign_in(client, password, name="rosa"):
    return client.post(reverse("login"), {"username": name, "password": password})


def with_password(person, password=PASSWORD):
    row = User.objects.get(pk=person.pk)
    row.set_password(password)
    row.save()


@pytest.mark.slow
def test_f88_a_hundred_wrong_passwords_close_the_door_a_while(house):
    with_password(house.who.rosa)
    guesser = Client()
    answers = [sign_in(guesser, f"guess number {n}").status_code for n in range(100)]

    assert answers[:5] == [422] * 5
    assert answers.count(422) < 10
    locked = sign_in(guesser, PASSWORD)
    assert locked.status_code == 429
    assert "then try again" in locked.content.decode()
    with time_machine.travel(timezone.now() + timedelta(minutes=11)):
        assert sign_in(guesser, PASSWORD).status_code == 302


def test_f89_a_password_of_a_megabyte_is_refused_and_not_hashed(house, monkeypatch):
    monkeypatch.setattr(User, "check_password", None)

    answer = sign_in(Client(), "x" * 1_000_000)

    assert answer.status_code == 422
    assert "at most 128 characters" in answer.content.decode()


def test_f89_one_too_long_cannot_be_chosen_either(house):
    house.client.force_login(house.who.ada)
    answer = house.post(
        "add_person", full_name="Ida Long", username="ida", password="x y " * 40
    )

    assert answer.status_code == 422
    assert not User.objects.filter(username="ida").exists()


PAIRS = [
    # set on one keyboard, typed on another, does it open
    ("crat\u00e9 fifteen ls", "crate\u0301 fifteen ls", True),
    ("\ufb01fteen letters x", "fifteen letters x", True),
    (" leading and more", " leading and more", True),
    (" leading and more", "leading and more", False),
    ("trailing is kept ", "trailing is kept", False),
    ("Case is not the same", "case is not the same", False),
]


@pytest.mark.parametrize(("chosen", "typed", "opens"), PAIRS)
def test_f89_what_looks_the_same_is_the_same_and_spaces_count(
    house, chosen, typed, opens
):
    with_password(house.who.rosa, chosen)

    assert (sign_in(Client(), typed).status_code == 302) is opens


def test_f90_who_is_disabled_in_mid_upload_keeps_nothing_and_is_told(house):
    """The body is read first; rights are read from the database after it."""
    User.objects.filter(pk=house.who.rosa.pk).update(is_active=False)

    answer = house.send(jpeg())

    assert answer.status_code == 302
    assert answer.url.startswith(reverse("login"))
    assert "Sign in" in house.client.get(answer.url).content.decode()
    assert Evidence.everything.count() == 1
