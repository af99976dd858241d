"""The two letters of a packaging hold say who must do what by when."""

from dataclasses import replace
from datetime import date

from claims.rules.letters.packaging import HoldFacts, carrier_letter, supplier_letter
from claims.rules.packet.content import Party

FACTS = HoldFacts(
    on=date(2026, 3, 20),
    sender=Party("Riverside"),
    carrier=Party("Plainsway Freight, claims"),
    supplier=Party("Harrow & Tine Works, crates"),
    crate="Crate 2 (HT-002)",
    is_reusable=True,
    pro="PRO000001",
    bol="BOL-7781",
    delivered_on=date(2026, 3, 10),
    held_on=date(2026, 3, 11),
    findings=("TX 48 tiller: deck shell, cracked. Cracked at the hinge.",),
    photo_count=3,
    invoice="HTI-100",
    deposit="USD 185.00",
    last_full_on=date(2026, 4, 2),
    loss_per_day="USD 69.37",
    written_by="Mina Okoro",
)


def text(letter):
    return " ".join([letter.subject, *letter.paragraphs])


class TestCarrier:
    def test_it_asks_to_inspect_or_waive_by_the_last_day_for_full_credit(self):
        words = text(carrier_letter(FACTS))
        assert "inspect or waive by that day" in words
        assert "leave here by Thu 2 Apr 2026" in words
        assert "A day later it earns USD 69.37 less." in words
        assert "> TX 48 tiller" in words
        assert "We have 3 photos" in words

    def test_it_goes_to_the_carrier_and_names_the_bill(self):
        letter = carrier_letter(FACTS)
        assert letter.addressee.name == "Plainsway Freight, claims"
        assert "PRO000001" in letter.subject
        assert {row.label: row.value for row in letter.references}["Crate"] == (
            "Crate 2 (HT-002)"
        )

    def test_a_day_that_is_past_asks_at_once(self):
        words = text(carrier_letter(replace(FACTS, on=date(2026, 4, 5))))
        assert "should have left by Thu 2 Apr 2026" in words
        assert "at once" in words

    def test_without_a_day_it_asks_within_five_business_days(self):
        words = text(carrier_letter(replace(FACTS, last_full_on=None)))
        assert "within five business days" in words
        assert "earns" not in words

    def test_a_one_way_crate_owes_nobody_a_deposit(self):
        words = text(
            carrier_letter(replace(FACTS, is_reusable=False, last_full_on=None))
        )
        assert "deposit" not in words
        assert "Credit" not in words

    def test_no_photo_is_not_spoken_of(self):
        assert "photos and send" not in text(
            carrier_letter(replace(FACTS, photo_count=0))
        )
        assert "one photo" in text(carrier_letter(replace(FACTS, photo_count=1)))


class TestSupplier:
    def test_it_asks_to_stop_the_clock_since_the_hold(self):
        letter = supplier_letter(FACTS)
        words = text(letter)
        assert letter.addressee.name == "Harrow & Tine Works, crates"
        assert "since Wed 11 Mar 2026" in words
        assert "do not count the days of this hold" in words
        assert "The deposit is USD 185.00." in words
        assert "last day for full credit is Thu 2 Apr 2026" in words

    def test_without_a_deposit_it_says_no_amount(self):
        words = text(supplier_letter(replace(FACTS, deposit="", last_full_on=None)))
        assert "USD" not in words
