"""No photo is lost on any form: what is good is kept, what is not is named."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import get_resolver

from inventory.forms.core.base import HouseForm
from inventory.forms.core.photos import PhotosField
from inventory.models import Evidence
from tests.photo_forms import KEPT_AFTER, PHOTO_FORMS
from tests.pictures import jpeg
from tests.scenes import Scene, kept

pytestmark = [pytest.mark.database, pytest.mark.django_db, pytest.mark.one_in(4)]


def good(name="good.jpg", colour=(90, 90, 90)):
    return SimpleUploadedFile(name, jpeg(colour=colour), "image/jpeg")


def bad(name="bad.jpg"):
    return SimpleUploadedFile(name, b"no picture at all", "image/jpeg")


class Sender:
    """A person who has the form open."""

    def __init__(self, scene):
        self.form = scene.form
        self.address, self.data = scene.address, scene.data
        self.browser = scene.browser()
        self.batch = str(uuid.uuid4())
        self.before = set(Evidence.objects.values_list("pk", flat=True))

    def send(self, *photos, kept=(), **over):
        name = self.form.field
        data = {
            **self.data,
            f"{name}_batch": self.batch,
            f"{name}_kept": [str(key) for key in kept],
            name: photos,
        }
        return self.browser.post(self.address, data | over)

    def kept(self):
        rows = Evidence.objects.exclude(pk__in=self.before)
        return set(rows.values_list("pk", flat=True))


BY_NAME = {one.name: one for one in PHOTO_FORMS}


@pytest.fixture(scope="module", params=BY_NAME)
def scene(request, django_db_setup, django_db_blocker):
    """Make once what all tests of this form need."""
    form = BY_NAME[request.param]
    with kept(django_db_blocker, lambda: Scene(form, form.prepare)) as made:
        yield made


@pytest.fixture
def sender(scene):
    return Sender(scene.copied())


def is_ticked(answer, form, key):
    return f'name="{form.field}_kept" value="{key}" checked' in answer.content.decode()


def test_a_refused_photo_is_named_and_the_good_one_stays_ticked(sender):
    answer = sender.send(good(), bad())
    (key,) = sender.kept()

    assert answer.status_code in {415, 422}
    assert is_ticked(answer, sender.form, key)
    errors = answer.context["form"].errors
    assert set(errors) == {sender.form.field}
    assert errors[sender.form.field][0].startswith("bad.jpg: This is not a photo")
    assert "good.jpg" not in str(errors)
    assert "Nothing was saved" not in str(errors)
    if sender.form.typed:
        typed = answer.context["form"][sender.form.typed].value()
        assert typed == sender.data[sender.form.typed]


def test_the_next_sending_takes_one_more_photo_and_saves(sender):
    sender.send(good(), bad())
    (key,) = sender.kept()
    answer = sender.send(good("again.jpg", (30, 60, 90)), kept=[key])

    assert answer.status_code == 302
    assert len(sender.kept()) == 2


def test_the_order_of_good_and_refused_makes_no_difference(sender):
    answer = sender.send(bad("one.jpg"), good(), bad("two.jpg"))
    (key,) = sender.kept()

    assert is_ticked(answer, sender.form, key)
    named = answer.context["form"].errors[sender.form.field]
    assert [words.split(":")[0] for words in named] == ["one.jpg", "two.jpg"]


def test_a_mistake_in_another_field_drops_no_photo(sender):
    name, value = sender.form.wrong
    answer = sender.send(good(), good("b.jpg", (30, 60, 90)), **{name: value})

    assert answer.status_code == 422
    assert len(sender.kept()) == 2
    assert all(is_ticked(answer, sender.form, key) for key in sender.kept())
    assert sender.send(kept=sender.kept()).status_code == 302
    assert len(sender.kept()) == 2


def test_a_document_is_taken_like_a_photo(sender):
    paper = SimpleUploadedFile("paper.pdf", b"%PDF-1.7\n%%EOF\n", "application/pdf")
    answer = sender.send(paper)

    assert answer.status_code == 302
    assert len(sender.kept()) == 1


def test_the_same_photos_sent_again_are_kept_once(sender):
    name, value = sender.form.wrong
    for _ in range(2):
        sender.send(good(), good("b.jpg", (30, 60, 90)), **{name: value})

    assert len(sender.kept()) == 2


def test_a_photo_that_was_never_shown_cannot_be_ticked(sender):
    answer = sender.send(kept=[uuid.uuid4()])

    assert answer.status_code == 422
    assert "Choose photos from those shown." in answer.content.decode()
    assert sender.send().status_code in ({400, 422} if sender.form.needs_one else {302})


def test_every_form_with_photos_is_in_the_table():
    assert get_resolver().url_patterns  # every page, and so every form, is loaded
    waiting, found = [HouseForm], set()
    while waiting:
        form = waiting.pop()
        waiting += form.__subclasses__()
        is_base = "act" not in vars(form) and form.__subclasses__()
        if not is_base and any(
            isinstance(one, PhotosField) for one in form.base_fields.values()
        ):
            found.add(form)

    assert found == {one.form for one in PHOTO_FORMS} | KEPT_AFTER
