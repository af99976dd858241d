"""The house that every bad input is sent to, with one photo kept beforehand.

After each input every original that was stored before must still have its hash.
"""

import uuid
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse


class House(SimpleNamespace):
    """The cast, one truck, a browser signed in as the clerk, and ways to send."""

    def send(self, *files, name="photo.jpg", **more):
        """Send files as photos of the truck; return the answer."""
        photos = [SimpleUploadedFile(name, data, "image/jpeg") for data in files]
        form = {"kind": "load", "photos": photos, "client_id": str(uuid.uuid4())}
        return self.client.post(self.url, {**form, **more})

    def get(self, page, *args, **query):
        return self.client.get(reverse(page, args=args), query)

    def post(self, page, *args, query="", **form):
        return self.client.post(reverse(page, args=args) + query, form)


@pytest.fixture
def house(db, client, settings, tmp_path):
    # Models can be read only once Django stands, which is after this module.
    from inventory.evidence.store import homes
    from inventory.evidence.store import originals as store
    from inventory.models import Evidence
    from tests.making import make_signed_delivery
    from tests.people import cast
    from tests.pictures import jpeg

    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"
    who = cast()
    delivery = make_signed_delivery(location=who.riverside)
    url = f"{reverse('add_evidence')}?delivery={delivery.pk}"
    client.force_login(who.rosa)
    made = House(who=who, delivery=delivery, client=client, url=url)
    made.send(jpeg(colour=(1, 99, 77)))
    made.first = Evidence.objects.get()
    before = list(homes.home().names())
    yield made
    assert before
    for sha256 in before:
        assert store.is_intact(sha256), f"{sha256} was lost or changed"
