"""Signing page, mail to the terminal, and requests for refused crates, as pages."""

import email
from datetime import timedelta
from email.policy import default

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from claims.actions.letters.notices import NoticeStep, send_notice
from claims.models import Notice
from claims.queries.receiving.due import mails_due, refused_without_disposition
from inventory.documents.core.mails import read_mail
from inventory.evidence.seal.sent_documents import last_sent_bytes, sent_bytes
from inventory.models import Event, Evidence, OutgoingMail
from inventory.rules.core.sent_documents import TERMINAL_MAIL
from inventory.rules.core.vocabulary import BILL_ENDINGS, HOW_SIGNED
from tests import making
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database


@pytest.fixture
def who(db):
    return cast()


@pytest.fixture
def rosa(who, client):
    client.force_login(who.rosa)
    return client


@pytest.fixture
def truck(who):
    """A truck that came now, with three bills; a crate of the second is damaged."""
    at = timezone.now()
    carrier = making.make_carrier(
        name="Gannet Overland", terminal_email="t@gannet.example"
    )
    row = making.make_delivery(carrier=carrier, arrived_at=at)
    for number in (1, 2, 3):
        bill = making.make_shipment(
            carrier=carrier, pro_number=f"44022170{number}", pieces_billed=1
        )
        making.make_handover(row, bill, pieces_counted=1)
        look = "exception" if number == 2 else "clear"
        making.make_crate(bill, delivery=row, look=look)
    return row


def bills(truck):
    return list(truck.handovers.select_related("shipment").order_by("pk"))


def sign(client, truck, place=0, **more):
    bill = bills(truck)[place]
    url = f"{reverse('sign_receipt', args=[truck.pk])}?bill={bill.pk}"
    truck.refresh_from_db()
    data = {
        "version": truck.version,
        "how_signed": "signed",
        "no_photo_reason": "no camera at hand",
    }
    return client.post(url, data | more)


def picture():
    return SimpleUploadedFile("receipt.jpg", jpeg(), "image/jpeg")


class TestSigning:
    def test_each_bill_is_a_tab_and_the_text_has_five_lengths(self, rosa, truck):
        page = rosa.get(reverse("sign_receipt", args=[truck.pk])).content.decode()

        for bill in bills(truck):
            assert f'href="?bill={bill.pk}"' in page
        assert "1 exception<" in page
        assert "None to write" in page
        for key in ("full", "160", "80", "60", "40"):
            assert f'id="length-{key}"' in page
            assert f'id="text-{key}"' in page
        assert "Nothing left out" in page
        assert "Sign 3 receipts" in page
        assert 'name="same"' in page
        assert 'name="same" id="id_same" checked' not in page

    def test_one_bill_is_signed_and_the_next_is_shown(self, rosa, truck):
        answer = sign(rosa, truck, 1, driver_signed_name="Lou Parr")

        assert answer.url == reverse("sign_receipt", args=[truck.pk])
        assert [row.how_signed for row in bills(truck)] == ["", "signed", ""]
        page = rosa.get(f"{answer.url}?bill={bills(truck)[1].pk}").content.decode()
        assert "Signed with our exceptions" in page
        assert 'name="how_signed"' not in page

    def test_the_same_answer_closes_the_others_with_their_own_text(self, rosa, truck):
        answer = sign(rosa, truck, 0, same="on", driver_signed_name="Lou Parr")

        truck.refresh_from_db()
        assert (truck.is_signed, truck.how_signed) == (True, "signed")
        assert answer.url == reverse("delivery", args=[truck.pk])
        assert len({row.words_full for row in bills(truck)}) == 3
        assert {row.driver_signed_name for row in bills(truck)} == {"Lou Parr"}

    def test_a_photo_of_each_receipt_belongs_to_its_bill(self, rosa, truck):
        first, second, third = bills(truck)
        photos = {
            "photo": picture(),
            f"photo_{second.pk}": SimpleUploadedFile(
                "b.jpg", jpeg(colour=(9, 9, 9)), "image/jpeg"
            ),
        }
        answer = sign(rosa, truck, 0, same="on", no_photo_reason="", **photos)

        assert answer.status_code == 422
        assert f"photo_{third.pk}" in answer.context["form"].errors
        kept = Evidence.objects.filter(kind="receipt").order_by("shipment_id")
        assert [row.shipment_id for row in kept] == [
            first.shipment_id,
            second.shipment_id,
        ]
        again = {
            f"{name}_kept": str(row.pk) for name, row in zip(photos, kept, strict=True)
        }
        sign(rosa, truck, 0, same="on", **again)
        assert [row.no_photo_reason for row in bills(truck)] == [
            "",
            "",
            "no camera at hand",
        ]

    def test_a_refusal_needs_a_witness_and_no_drivers_name(self, rosa, truck):
        answer = sign(rosa, truck, 1, how_signed="refused", driver_signed_name="Lou")
        assert "witness_name" in answer.context["form"].errors

        sign(
            rosa,
            truck,
            1,
            how_signed="refused",
            driver_signed_name="Lou",
            witness_name="Ida Blom",
        )

        row = bills(truck)[1]
        assert (row.witness_name, row.driver_signed_name) == ("Ida Blom", "")
        assert row.words_full.endswith("Driver refused to sign. Witness: Ida Blom.")

    def test_a_text_that_changed_meanwhile_is_shown_again(self, rosa, truck):
        bill = bills(truck)[0]
        answer = sign(rosa, truck, 0, read=f"{bill.pk}:0123456789abcdef")

        assert answer.status_code == 422
        assert "changed after you opened this page" in answer.content.decode()
        fresh = answer.context["form"].data["read"]
        assert sign(rosa, truck, 0, read=fresh).status_code == 302

    @pytest.mark.parametrize("bad", ["0", "x", "-1", "9" * 30, "\0"])
    def test_a_bill_that_is_not_on_the_truck_is_unknown(self, rosa, truck, bad):
        url = reverse("sign_receipt", args=[truck.pk])

        assert rosa.get(url, {"bill": bad}).status_code == 404

    def test_a_count_that_cannot_be_right_comes_first(self, rosa, truck):
        row = bills(truck)[0]
        row.pieces_counted = 0
        row.save()

        page = rosa.get(reverse("sign_receipt", args=[truck.pk])).content.decode()

        assert "0 crates counted, but 1 inspected. Count them again." in page
        assert 'name="how_signed"' not in page

    @pytest.mark.parametrize("how", BILL_ENDINGS)
    def test_only_what_was_not_signed_with_exceptions_asks_for_a_mail(
        self, rosa, truck, how
    ):
        sign(rosa, truck, 0, how_signed="signed")
        sign(rosa, truck, 2, how_signed="signed")
        answer = sign(rosa, truck, 1, how_signed=how, witness_name="Ida Blom")

        page = "delivery" if how == "signed" else "terminal_mail"
        assert answer.url == reverse(page, args=[truck.pk])
        said = rosa.get(answer.url).content.decode()
        assert "The receipt is signed" not in said

    @pytest.mark.parametrize("how", ["handheld", "bare"])
    def test_the_dock_does_not_call_it_signed_without_our_exceptions(
        self, rosa, truck, how
    ):
        for place in range(3):
            sign(rosa, truck, place, how_signed=how)

        row = rosa.get(reverse("dock")).content.decode().partition("Signed today")[2]
        ending = HOW_SIGNED[how].replace("'", "&#x27;")
        assert f"{ending}</span>" in row
        assert "1 exception" in row
        assert "Signed</span>" not in row

    def test_a_clean_bill_on_a_handheld_asks_for_none(self, rosa, truck, who):
        sign(rosa, truck, 0, how_signed="handheld")

        assert mails_due(who.rosa, timezone.now()) == []


class TestTheMail:
    @pytest.fixture
    def unsigned(self, rosa, truck):
        more = {"photo": picture(), "witness_name": "Ida Blom"}
        sign(rosa, truck, 1, how_signed="refused", **more)
        return truck

    def test_the_page_has_the_mail_ready(self, rosa, unsigned):
        page = rosa.get(reverse("terminal_mail", args=[unsigned.pk])).content.decode()

        assert "Exceptions at delivery, PRO 440221702" in page
        assert "driver refused to sign" in page
        assert "Witness: Ida Blom" in page
        assert "mailto:t@gannet.example?subject=Exceptions%20at%20delivery" in page
        assert "440221701" not in page
        assert "with 1 photo<" in page

    def test_the_dock_counts_the_hour_down(self, rosa, unsigned, who):
        now = timezone.now()
        (due,) = mails_due(who.rosa, now + timedelta(minutes=10))

        assert due.pros == "440221702"
        assert 45 <= due.minutes <= 50
        assert mails_due(who.rosa, now + timedelta(minutes=61))[0].is_late
        assert mails_due(who.rosa, now + timedelta(days=4)) == []
        assert mails_due(who.nell, now) == []
        page = rosa.get(reverse("dock")).content.decode()
        assert "Mail the terminal of Gannet Overland" in page

    def test_the_file_is_a_draft_with_the_photo(self, rosa, unsigned):
        answer = rosa.get(reverse("terminal_mail_file", args=[unsigned.pk]))

        mail = email.message_from_bytes(answer.content, policy=default)
        assert answer["Content-Type"] == "message/rfc822"
        assert (mail["To"], mail["X-Unsent"]) == ("t@gannet.example", "1")
        assert "driver refused to sign" in mail.get_body().get_content()
        (photo,) = mail.iter_attachments()
        assert photo.get_content_type() == "image/jpeg"
        assert photo.get_filename() == "receipt-1.jpg"

    def test_marked_as_sent_it_is_kept_and_off_the_list(self, rosa, unsigned, who):
        url = reverse("terminal_mail", args=[unsigned.pk])
        unsigned.refresh_from_db()

        answer = rosa.post(
            url,
            {
                "version": unsigned.version,
                "to": "night@gannet.example",
                "sent-myself": "I sent it myself",
            },
        )

        assert answer.status_code == 302
        assert not OutgoingMail.objects.exists()
        event = Event.objects.get(kind="receipt.mailed")
        assert event.data["to"] == "night@gannet.example"
        kept = last_sent_bytes(bills(unsigned)[1], TERMINAL_MAIL)
        assert b"To: night@gannet.example" in kept
        assert mails_due(who.rosa, timezone.now()) == []
        assert "is left to mail" in rosa.get(url).content.decode()
        assert rosa.get(f"{url[:-1]}.eml").url == url
        again = rosa.post(url, {"version": unsigned.version, "to": "a@b.example"})
        assert "Nothing was recorded" in again.content.decode()

    def test_sent_from_here_it_waits_in_the_outbox_with_its_photos(
        self, rosa, unsigned
    ):
        unsigned.refresh_from_db()

        rosa.post(
            reverse("terminal_mail", args=[unsigned.pk]),
            {"version": unsigned.version, "to": "night@gannet.example"},
        )

        (mail,) = OutgoingMail.objects.all()
        assert (mail.to, mail.state) == ("night@gannet.example", "waiting")
        words = read_mail(sent_bytes(mail.document))
        assert words.files == ("receipt-1.jpg",)
        assert "driver refused to sign" in words.body

    def test_an_address_is_needed(self, rosa, unsigned):
        url = reverse("terminal_mail", args=[unsigned.pk])
        for to in ("", "gannet", "a@b.example\nBcc: x@y.example"):
            answer = rosa.post(url, {"version": unsigned.version, "to": to})
            assert "to" in answer.context["form"].errors

    def test_a_truck_signed_before_asks_for_none(self, who):
        at = timezone.now()
        old = making.make_signed_delivery(how_signed="refused", arrived_at=at)
        making.make_handover(old)

        assert mails_due(who.rosa, at) == []


class TestRefusedCrates:
    @pytest.fixture
    def refused(self, who, truck):
        bill = bills(truck)[0].shipment
        bill.carrier = truck.carrier
        bill.save()
        for _ in range(2):
            crate = making.make_crate(
                bill, delivery=truck, look="refused", refused_for="worthless"
            )
            making.make_inspection(
                crate=crate, unit=None, stage="tailgate", looked_at=truck.arrived_at
            )
        return crate

    def test_a_refusal_is_due_the_same_day(self, rosa, who, refused):
        (due,) = refused_without_disposition(who.rosa)

        assert (due.crates, due.notice_id) == ("crates 2 and 3", None)
        assert refused_without_disposition(who.nell) == []
        page = rosa.get(reverse("dock")).content.decode()
        assert "Disposition of refused crates 2 and 3" in page
        assert "Your manager asks today" in page

    def test_a_range_of_refused_crates_does_not_break(self, who, refused, truck):
        making.make_crate(refused.shipment, delivery=truck, look="refused")
        (due,) = refused_without_disposition(who.rosa)

        assert due.crates == "crates 2\N{NON-BREAKING HYPHEN}4"

    def test_the_request_is_written_from_the_record_and_ends_it(
        self, client, who, refused
    ):
        client.force_login(who.mina)
        assert "Ask today" in client.get(reverse("dock")).content.decode()
        url = reverse("write_notice", args=[refused.shipment_id, "disposition"])
        form = client.get(f"{url}?delivery={refused.delivery_id}").context["form"]
        text = form.initial["text"]
        assert "REFUSED, practically worthless" in text
        assert "return, reconsign, salvage or destroy" in text
        assert refused.shipment.supplier.name in text
        assert "accept" not in text.lower()
        data = {"addressee": form.initial["addressee"], "text": text}
        client.post(f"{url}?delivery={refused.delivery_id}", data)

        notice = Notice.objects.get(kind="disposition")
        (due,) = refused_without_disposition(who.mina)
        assert due.notice_id == notice.pk
        at = timezone.now()
        step = NoticeStep(
            who.mina, at, making.day_of(at), notice.version, making.day_of(at)
        )
        send_notice(notice=notice, how="email", step=step)
        assert refused_without_disposition(who.mina) == []

    def test_a_crate_refused_after_the_request_is_due_again(self, who, refused):
        making.make_notice(
            refused.shipment,
            kind="disposition",
            delivery=refused.delivery,
            written_at=refused.delivery.arrived_at - timedelta(minutes=1),
            sent_on=refused.delivery.arrived_on,
            sent_how="email",
        )

        assert refused_without_disposition(who.rosa)

    def test_what_became_of_it_ends_it_too(self, who, refused):
        for crate in refused.shipment.crates.filter(look="refused"):
            crate.disposition = "return"
            crate.save()

        assert refused_without_disposition(who.rosa) == []


class TestWhoCompares:
    """A link is offered to those whom its page lets in."""

    def test_the_dock_offers_the_comparison_only_to_who_may_note(self, client, who):
        truck = making.make_unsigned_delivery("signed", signed_by=who.rosa)
        page = reverse("compare_image", args=[bills(truck)[0].pk])
        for person, is_offered in (
            (who.rosa, True),
            (who.mina, True),
            (who.tomas, False),
            (who.abel, False),
        ):
            client.force_login(person)
            dock = client.get(reverse("dock")).content.decode()
            assert "Compare with the carrier&#x27;s POD" in dock.replace("'", "&#x27;")
            assert (page in dock) is is_offered, person
            assert (client.get(page).status_code == 200) is is_offered, person
            if not is_offered:
                assert reverse("delivery", args=[truck.pk]) in dock
