"""Letters: what each must say, and when it cannot be written."""

import re
from dataclasses import replace
from datetime import date

import pytest

from claims.rules.letters.notice_words import compose, missing_for
from claims.rules.letters.notices import NoticeFacts, NoticeFinding
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import BILL_ENDINGS, HOW_SIGNED

FACTS = NoticeFacts(
    on=date(2026, 3, 12),
    addressee="Plainsway Freight, claims",
    addressee_lines=("Dock 4",),
    sender="Riverside",
    sender_lines=("1200 Levee Road",),
    written_by="Mina Okoro",
    carrier="Plainsway Freight",
    pro="PRO000017",
    bol="BOL-7781",
    bol_on=date(2026, 3, 3),
    supplier="Harrow & Tine Works",
    delivered_on=date(2026, 3, 10),
    words="Crate 2 of 4: side 1 punctured.\nFilm torn.",
    billed=4,
    counted=3,
    piece_unit="crate",
    findings=(
        NoticeFinding(2, "TX 48 tiller: deck shell, cracked", "Cracked, 12 cm", None),
    ),
    photo_count=1,
)


def test_the_concealed_notice_asks_for_an_inspection_and_holds_all_as_found():
    text = compose("concealed", FACTS).text

    assert "could not have been determined at the time of delivery" in text
    assert "inspect the goods at our dock" in text
    assert "held in the condition in which they were found" in text
    assert "2. TX 48 tiller: deck shell, cracked. Cracked, 12 cm." in text
    assert "We have 1 photo and will send it on request." in text


def test_the_protest_quotes_our_words_line_by_line():
    text = compose("protest", FACTS).text

    assert "> Crate 2 of 4: side 1 punctured.\n> Film torn." in text


def test_the_shortage_counts_in_the_bills_own_unit():
    text = compose("shortage", FACTS).text

    assert "Billed: 4 crates. Received: 3 crates. Short: 1 crate." in text


def test_the_shortage_sets_no_number_of_days_that_no_rule_has():
    text = compose("shortage", FACTS).text

    assert "trace the missing freight" in text
    assert not re.search(r"within|ten days|\d+ days", text)


def test_the_suppliers_notice_is_one_of_nonconformity_with_all_rights_reserved():
    text = compose("supplier", FACTS).text

    assert text.startswith("Notice of damage or nonconformity: ")
    assert "under UCC 2-607(3)(a)" in text
    assert "All our rights under the order and by law are reserved." in text
    assert "Please send us your instructions in writing" in text


FILES = "please file the claim with Plainsway Freight"


@pytest.mark.parametrize(
    ("over", "asks"),
    [
        ({}, False),
        ({"delivery_terms": "FOB origin"}, False),
        ({"delivery_terms": "FOB destination"}, True),
        ({"supplier_files": True}, True),
        ({"supplier_files": True, "delivery_terms": "FOB origin"}, True),
    ],
)
def test_the_supplier_is_asked_to_file_where_its_terms_make_it_the_claimant(over, asks):
    text = compose("supplier", replace(FACTS, **over)).text

    assert (FILES in text) is asks
    assert ("freight that you prepay" in text) is bool(over.get("supplier_files"))
    terms = over.get("delivery_terms", "")
    assert (f'states the delivery terms as "{terms}"' in text) is bool(terms)
    assert "risk" not in text


@pytest.mark.parametrize("kind", ["concealed", "protest", "shortage", "supplier"])
def test_every_letter_identifies_the_shipment_and_asks_for_the_day(kind):
    letter = compose(kind, FACTS)

    assert "PRO000017" in letter.subject
    assert "BOL-7781 of March 3, 2026" in letter.subject
    assert "the day on which you received this" in letter.body


@pytest.mark.parametrize(
    ("kind", "over", "word"),
    [
        ("concealed", {"findings": ()}, "No concealed damage is recorded"),
        ("supplier", {"supplier": ""}, "has no supplier"),
        (
            "supplier",
            {"findings": (), "words": ""},
            "nothing to report to the supplier",
        ),
        ("protest", {"words": ""}, "No exceptions were written"),
        ("shortage", {"findings": (), "counted": 4}, "Nothing is recorded as short"),
    ],
)
def test_what_a_letter_lacks_is_said(kind, over, word):
    assert missing_for(kind, FACTS) == ()
    assert word in missing_for(kind, replace(FACTS, **over))[0]


def test_an_unknown_letter_is_a_mistake_in_the_code():
    with pytest.raises(KeyError):
        compose("ransom", FACTS)


NOT_SIGNED_WITH_THEM = [key for key in BILL_ENDINGS if key != "signed"]


@pytest.mark.parametrize("ending", NOT_SIGNED_WITH_THEM)
@pytest.mark.parametrize("kind", ["protest", "supplier"])
def test_no_letter_says_that_a_receipt_was_signed_with_what_it_does_not_show(
    kind, ending
):
    text = compose(kind, replace(FACTS, ending=ending)).text

    assert "before the receipt was signed" not in text
    assert "Written on the carrier's delivery receipt" not in text
    assert f"oted at delivery ({mid_sentence(HOW_SIGNED[ending])})" in text


def test_the_disposition_request_names_each_refused_crate_and_who_decides():
    crates = ("Crate 3 REFUSED, practically worthless: top crushed, severe.",)
    facts = replace(FACTS, refused_crates=crates)

    text = compose("disposition", facts).text

    assert text.startswith("Refused crate, request for disposition: freight bill (PRO)")
    assert crates[0] in text
    assert "return, reconsign, salvage or destroy" in text
    assert "This letter goes to Harrow & Tine Works as well." in text
    assert "accept" not in text
    many = compose("disposition", replace(facts, refused_crates=crates * 2)).text
    assert "where the crates are" in many
    assert missing_for("disposition", facts) == ()
    assert missing_for("disposition", FACTS) == (
        "No crate of this freight bill was refused.",
    )
