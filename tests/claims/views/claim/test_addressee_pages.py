"""The pages of an addressee, of a carrier in bankruptcy and of a missing document."""

from datetime import date, timedelta

import pytest
from django.test import TestCase
from django.urls import reverse

from claims.actions.claim.steps import Sending, send_claim
from claims.models import Claim, ClaimLetter, Notice, PaperTask
from claims.queries.letters.notices import carrier_party
from inventory.actions.mail.outbox import mark_returned
from inventory.models import CarrierBankruptcy, Event, OutgoingMail
from inventory.rules.mail.life import TAKEN
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.stage import AT, claim_it, set_stage, step
from tests.house.counting import CountsQueries
from tests.mailing import put_mail
from tests.people import cast

pytestmark = pytest.mark.database


class _Pages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.bill = cls.stage.shipment
        cls.claim = claim_it(cls.people, cls.stage)

    def setUp(self):
        self.client.force_login(self.people.mina)

    def show(self, name, *args, **query):
        return self.client.get(reverse(name, args=args), query)

    def post(self, name, *args, **data):
        return self.client.post(reverse(name, args=args), data)

    def with_broker(self):
        self.bill.broker = making.make_carrier(name="Wren Brokers", mode="broker")
        self.bill.save()
        return self.bill.broker

    def send_to(self, company, **data):
        self.claim.refresh_from_db()
        given = {
            "version": self.claim.version,
            "company": company.pk,
            "on": "2026-03-16",
            "how": "post",
        }
        return self.post("send_claim", self.claim.pk, **{**given, **data})


class PaperworkTests(_Pages):
    def paperwork(self, **over):
        form = self.show("edit_shipment", self.bill.pk).context["form"]
        data = {
            name: form[name].value() if form[name].value() is not None else ""
            for name in form.fields
        }
        return self.post("edit_shipment", self.bill.pk, **{**data, **over})

    def test_the_manager_names_the_companies_of_the_bill(self):
        record = making.make_carrier(
            name="Sedge Lines", legal_name="Sedge Lines LLC", usdot_number="2211334"
        )
        broker = making.make_carrier(name="Wren Brokers", mode="broker")

        answer = self.paperwork(record_carrier=record.pk, broker=broker.pk)

        self.assertEqual(answer.status_code, 302)
        self.bill.refresh_from_db()
        self.assertEqual(self.bill.carrier_of_record, record)
        self.assertEqual(self.bill.arranged_by, broker)
        page = self.show("shipment", self.bill.pk)
        self.assertContains(page, "Sedge Lines LLC, USDOT 2211334")
        self.assertContains(page, "Wren Brokers")

    def test_a_broker_is_never_the_carrier_of_record(self):
        broker = making.make_carrier(name="Wren Brokers", mode="broker")

        answer = self.paperwork(record_carrier=broker.pk)

        self.assertContains(answer, "Choose one of those listed.", status_code=422)

    def test_the_clerk_is_asked_for_none_of_them_and_loses_none(self):
        broker = self.with_broker()
        self.client.force_login(self.people.rosa)
        form = self.show("edit_shipment", self.bill.pk).context["form"]
        self.assertNotIn("broker", form.fields)

        answer = self.paperwork(origin="Cedar Rapids", broker="")

        self.assertEqual(answer.status_code, 302)
        self.bill.refresh_from_db()
        self.assertEqual((self.bill.origin, self.bill.broker), ("Cedar Rapids", broker))


class SendingTests(_Pages):
    def test_sending_asks_for_a_company_of_the_bill(self):
        broker = self.with_broker()

        page = self.show("send_claim", self.claim.pk)

        chosen = page.context["form"]["company"]
        self.assertEqual(
            [key for key, _ in chosen.field.choices],
            [str(self.bill.carrier_id), str(broker.pk)],
        )
        self.assertEqual(chosen.value(), str(self.bill.carrier_id))
        stranger = making.make_carrier()
        self.assertEqual(self.send_to(stranger).status_code, 422)

    def test_a_claim_that_went_to_the_broker_says_so_until_a_carrier_has_it(self):
        self.send_to(self.with_broker(), tracking="9407 1118")

        page = self.show("claim", self.claim.pk)
        self.assertContains(page, "Not filed with a carrier: it went to Wren Brokers")
        self.assertContains(page, "9407 1118")
        self.assertContains(page, "Send the claim to the carrier of record today")
        self.assertNotContains(page, reverse("record_receipt", args=[self.claim.pk]))
        self.assertContains(self.show("claims"), "Not filed with a carrier")

        self.send_to(self.bill.carrier)

        page = self.show("claim", self.claim.pk)
        self.assertNotContains(page, "Not filed with a carrier")
        self.assertContains(page, reverse("record_receipt", args=[self.claim.pk]))
        self.assertContains(page, "No tracking number recorded")

    def test_one_that_only_another_company_received_is_sent_anew(self):
        self.send_to(self.bill.carrier)
        self.claim.refresh_from_db()
        self.post(
            "record_receipt",
            self.claim.pk,
            version=self.claim.version,
            on="2026-03-16",
            words="Signed",
        )
        making.make_broker_of(Claim.objects.get(pk=self.claim.pk))
        url = reverse("refile_claim", args=[self.claim.pk])
        page = self.show("claim", self.claim.pk)
        self.assertContains(page, url)
        self.assertEqual(page.context["page"].letter_due, "")

        page = self.client.get(url)
        form = page.context["form"]
        answer = self.client.post(
            url,
            {
                "version": form["version"].value(),
                "company": form["company"].value(),
                "on": "2026-03-16",
                "how": "portal",
            },
        )

        self.assertEqual(answer.status_code, 302)
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.state, "sent")
        self.assertEqual(self.claim.addressed_to, self.claim.shipment.carrier_of_record)
        self.assertIsNone(self.claim.received_on)

    def test_a_draft_may_be_addressed_to_the_delivering_carrier(self):
        other = making.make_carrier(name="Sedge Lines")
        self.bill.delivering_carrier = other
        self.bill.save()
        form = self.show("address_claim", self.claim.pk).context["form"]

        self.post(
            "address_claim",
            self.claim.pk,
            version=form["version"].value(),
            company=other.pk,
        )

        self.claim.refresh_from_db()
        self.assertEqual(self.claim.addressed_to, other)
        self.assertContains(self.show("claim", self.claim.pk), "To <a")
        self.assertEqual(carrier_party(self.claim).name, "Sedge Lines")


class LetterTests(_Pages):
    def test_a_notice_goes_to_the_company_that_is_chosen(self):
        other = making.make_carrier(
            name="Sedge Lines",
            claims_address="9 Sedge Road",
            claims_email="a@b.example",
        )
        self.bill.delivering_carrier = other
        self.bill.save()
        page = self.show("write_notice", self.bill.pk, "concealed")
        form = page.context["form"]
        self.assertEqual(form["company"].value(), str(self.bill.carrier_id))

        self.post(
            "write_notice",
            self.bill.pk,
            "concealed",
            company=other.pk,
            addressee=form["addressee"].value(),
            text="Damage\n\nIt is damaged.",
            once=form["once"].value(),
        )

        notice = Notice.objects.get()
        self.assertEqual(notice.addressed_to, other)
        self.assertEqual(notice.addressee, "Sedge Lines, Cargo Claims")
        mail = self.show("mail_notice", notice.pk)
        self.assertEqual(mail.context["form"]["to"].value(), "a@b.example")

    def test_a_bill_of_one_company_asks_nothing(self):
        page = self.show("write_notice", self.bill.pk, "concealed")

        self.assertNotIn("company", page.context["form"].fields)

    def test_a_letter_may_go_to_another_company_of_the_bill(self):
        other = making.make_carrier(name="Sedge Lines", claims_address="9 Sedge Road")
        self.bill.originating_carrier = other
        self.bill.save()
        self.send_to(self.bill.carrier)
        making.make_evidence(shipment=self.bill, kind="packing-list")
        page = self.show("write_claim_letter", self.claim.pk, "documents")
        self.assertContains(page, f"?company={other.pk}")

        page = self.show(
            "write_claim_letter", self.claim.pk, "documents", company=other.pk
        )
        url = reverse("write_claim_letter", args=[self.claim.pk, "documents"])
        page = self.client.post(
            f"{url}?company={other.pk}", {"documents": ["Packing list"]}
        )
        self.assertContains(page, "9 Sedge Road")
        form = page.context["form"]
        answer = self.client.post(
            url, {name: form[name].value() for name in form.fields}
        )

        self.assertEqual(answer.status_code, 302)
        letter = ClaimLetter.objects.get()
        self.assertEqual(
            (letter.addressee, letter.addressed_to), ("Sedge Lines", other)
        )
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.addressed_to, self.bill.carrier)

    def test_a_mail_that_came_back_turns_its_line_red(self):
        notice = making.make_notice(self.bill, kind="concealed", sent_on="2026-03-16")
        mail = put_mail(
            notice, person=self.people.mina, at=AT, place=self.people.riverside
        )
        self.assertNotContains(self.show("notice", notice.pk), "The mail came back")

        mark_returned(
            mail=taken(mail), reason="No such mailbox", person=self.people.mina, at=AT
        )

        self.assertContains(self.show("notice", notice.pk), "The mail came back")
        self.assertContains(self.show("claim", self.claim.pk), "The mail came back")


def taken(mail):
    """Return the mail as the server took it."""
    OutgoingMail.objects.filter(pk=mail.pk).update(state=TAKEN)
    mail.refresh_from_db()
    return mail


class BrokerLetterTests(_Pages):
    def test_after_a_broker_the_letters_go_to_the_carrier_of_record(self):
        broker = self.with_broker()
        self.send_to(broker)
        self.claim.refresh_from_db()

        self.assertEqual(carrier_party(self.claim).name, self.bill.carrier.name)
        form = self.show("send_claim", self.claim.pk).context["form"]
        self.assertEqual(form["company"].value(), str(self.bill.carrier_id))


class TrackingTests(_Pages):
    def test_what_went_by_certified_mail_without_a_number_says_so(self):
        notice = making.make_notice(
            self.bill, kind="concealed", sent_on="2026-03-16", sent_how="post"
        )
        self.assertContains(
            self.show("notice", notice.pk), "No tracking number recorded"
        )

        Notice.objects.update(tracking="9407 1118")

        page = self.show("notice", notice.pk)
        self.assertContains(page, "9407 1118")
        self.assertNotContains(page, "No tracking number recorded")


class BankruptcyTests(_Pages):
    def record(self, **over):
        carrier = self.bill.carrier
        form = self.show("record_bankruptcy", carrier.pk).context["form"]
        data = {
            "once": form["once"].value(),
            "petition_on": "2026-03-02",
            "court": "Bankr. D. Neb.",
            "case_number": "26-40117",
            "bar_on": "2026-06-14",
        }
        return self.post("record_bankruptcy", carrier.pk, **{**data, **over})

    def test_the_carriers_page_the_claim_and_the_desk_say_it(self):
        self.assertContains(self.show("carrier", self.bill.carrier_id), "None recorded")

        self.assertEqual(self.record().status_code, 302)

        page = self.show("carrier", self.bill.carrier_id)
        self.assertContains(page, "26-40117")
        self.assertContains(page, self.claim.number)
        self.assertContains(page, "11 U.S.C. 362")
        page = self.show("claim", self.claim.pk)
        self.assertContains(page, "File the proof of claim with the court")
        self.assertContains(
            page, reverse("record_proof_of_claim", args=[self.claim.pk])
        )

    def test_a_correction_asks_what_changed(self):
        self.record()

        self.assertEqual(self.record(bar_on="2026-07-01").status_code, 422)
        self.record(bar_on="2026-07-01", reason="The court moved it.")

        self.assertEqual(CarrierBankruptcy.objects.count(), 2)
        page = self.show("carrier", self.bill.carrier_id)
        self.assertContains(page, "Recorded before: 1")

    def test_a_bar_date_before_the_petition_is_refused_with_what_was_typed(self):
        answer = self.record(bar_on="2026-03-01")

        self.assertContains(answer, "comes after the petition", status_code=422)
        self.assertContains(answer, "Bankr. D. Neb.", status_code=422)

    def test_only_a_manager_records_it(self):
        self.client.force_login(self.people.abel)

        self.assertEqual(self.record_page().status_code, 403)
        self.assertNotContains(
            self.show("carrier", self.bill.carrier_id), "Record a bankruptcy"
        )

    def record_page(self):
        return self.show("record_bankruptcy", self.bill.carrier_id)


class PaperTests(_Pages):
    def give(self, owner="tomas", paper="origin-condition", **over):
        form = self.show("give_paper", self.claim.pk, paper).context["form"]
        day = today_at(self.people.riverside) + timedelta(days=3)
        data = {
            "once": form["once"].value(),
            "owner": owner,
            "by_day": day.isoformat(),
            "note": "Ask their shipping desk.",
        }
        return self.post("give_paper", self.claim.pk, paper, **{**data, **over})

    def test_it_stands_on_the_desk_where_its_owner_begins(self):
        for name, desk in (
            ("tomas", "bench"),
            ("rosa", "dock"),
            ("abel", "deposits"),
        ):
            with self.subTest(name):
                self.client.force_login(self.people.mina)
                self.assertEqual(self.give(name).status_code, 302)
                self.client.force_login(getattr(self.people, name))
                page = self.show(desk)
                self.assertContains(page, "Get the condition at origin")
                self.assertContains(page, "kind=origin-condition")

    def test_the_claims_desk_names_everybodys(self):
        self.give("abel")

        page = self.show("claims")

        self.assertContains(page, "Get the condition at origin")
        self.assertContains(page, '<span class="who-tag">Abel</span>')

    def test_the_panel_names_owner_and_day_and_offers_a_change(self):
        page = self.show("claim", self.claim.pk)
        self.assertContains(page, "Give to<")

        self.give("abel")

        page = self.show("claim", self.claim.pk)
        day = today_at(self.people.riverside) + timedelta(days=3)
        self.assertContains(page, '<span class="who-tag">Abel</span>')
        self.assertContains(page, "Ask their shipping desk.")
        self.assertContains(page, f"{day:%a} {day.day} {day:%b}")
        self.assertContains(
            page, reverse("give_paper", args=[self.claim.pk, "origin-condition"])
        )

    def test_the_usual_owner_is_proposed(self):
        form = self.show("give_paper", self.claim.pk, "freight-bill").context["form"]

        self.assertEqual(form["owner"].value(), "abel")

    def test_accounting_may_take_it_over(self):
        self.give("tomas")
        self.client.force_login(self.people.abel)

        self.assertEqual(self.give("abel").status_code, 302)

        self.assertEqual(PaperTask.objects.latest("pk").owner, self.people.abel)
        self.assertTrue(Event.objects.filter(kind="claim.paper-taken").exists())

    def test_a_past_day_and_an_unknown_document_are_refused(self):
        answer = self.give(by_day="2026-03-01")
        self.assertEqual(answer.status_code, 422)
        self.assertContains(answer, "Ask their shipping desk.", status_code=422)
        self.assertEqual(
            self.show("give_paper", self.claim.pk, "moon").status_code, 404
        )

    def test_nobody_gets_what_is_on_file(self):
        making.make_evidence(shipment=self.bill, kind="origin-condition")

        page = self.show("give_paper", self.claim.pk, "origin-condition")
        self.assertContains(page, "There is nothing to get.")
        answer = self.client.post(
            reverse("give_paper", args=[self.claim.pk, "origin-condition"]),
            {"owner": "tomas", "by_day": today_at(self.people.riverside).isoformat()},
        )
        self.assertEqual(answer.status_code, 422)
        self.assertFalse(PaperTask.objects.exists())

    def test_the_technician_cannot_give_documents(self):
        self.client.force_login(self.people.tomas)

        self.assertEqual(
            self.show("give_paper", self.claim.pk, "packing-list").status_code, 403
        )


class QueryTests(CountsQueries, _Pages):
    def one_more(self, number):
        shipment = making.make_shipment(
            location=self.people.riverside, carrier=self.bill.carrier
        )
        shipment.broker = making.make_carrier(name=f"Broker {number}", mode="broker")
        shipment.save()
        claim = making.make_claim(
            shipment,
            made_by=self.people.tomas,
            addressed_to=shipment.broker if number % 2 else shipment.carrier,
            sent_on=date(2026, 3, 16),
            state="sent",
        )
        making.make_claim_line(claim)
        making.make_paper_task(claim, owner=self.people.mina)

    @pytest.mark.slow
    def test_the_claims_desk_takes_the_same_with_more_claims(self):
        self.expect_same(reverse("claims"), "mina", self.one_more)

    def test_the_carriers_page_takes_the_same_with_more_claims(self):
        url = reverse("carrier", args=[self.bill.carrier_id])
        self.expect_same(url, "mina", self.one_more)

    def test_the_claims_page_takes_the_same_with_more_documents_in_hands(self):
        send_claim(
            claim=self.claim,
            sending=Sending("email"),
            step=step(self.people, self.claim),
        )
        papers = ("packing-list", "freight-bill", "origin-condition", "receipt")
        url = reverse("claim", args=[self.claim.pk])
        self.expect_same(
            url,
            "mina",
            lambda number: making.make_paper_task(
                self.claim, paper=papers[number % 4], owner=self.people.abel
            ),
        )
