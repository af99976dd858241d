"""Letters that end, move or certify, as PDF: each fact once and right, amounts tie."""

import re
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from claims.documents.letters import letter_pdf
from claims.rules.letters.claim_letter import NoChoices
from claims.rules.letters.claim_letter_content import mail_text, write_letter
from claims.rules.letters.endings import KINDS_OF_ENDINGS
from claims.rules.letters.tables import spelled_out
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.money import format_cents
from tests.claims.rules.letters.ending_claims import ENDINGS, choices_of, claim_of
from tests.sizes import cases

CLAIMS = 200
KINDS = {kind.key: kind for kind in KINDS_OF_ENDINGS}


def drawn(key, facts, choices, number):
    """Return the letter's content, and the text of its PDF without head and foot."""
    kind = KINDS[key]
    assert kind.against(facts) == ()
    assert kind.against_choices(facts, choices) == ()
    paper = "a4" if number % 2 else "letter"
    content = write_letter(kind, facts, choices, number=1, paper=paper).content
    reader = PdfReader(BytesIO(letter_pdf(content)))
    text = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    return content, text.replace(f"{content.subject} Page", "Page").replace("| ", "")


def times(text, fact):
    """Return how often a fact stands in the text, not as a part of another one."""
    return len(re.findall(rf"(?<![\w.,-]){re.escape(fact)}(?![\w-]|[.,]\d)", text))


def usd(cents):
    return format_cents(cents, "USD", code=True)


def figures(facts):
    return [format_cents(line.amount_cents, "USD") for line in facts.lines]


def serials(lines):
    return [line.serial for line in lines]


def here(facts):
    return [line for line in facts.lines if line.outcome != "short"]


def short(facts):
    return [line for line in facts.lines if line.outcome == "short"]


def said_by(key, facts, choices):
    """Return the facts that this letter states, beside its references."""
    goods, sent = facts.goods, in_full(facts.sent_on)
    total, pieces = usd(facts.claimed_cents), facts.goods.pieces
    (notice,) = facts.notices
    if key == "withdrawal":
        return [sent, *serials(facts.lines), *figures(facts), total, choices.reason]
    if key == "hand-over":
        days = (notice.sent_on, notice.received_on, facts.claim_by, facts.delivered_on)
        lines = [*serials(facts.lines), *figures(facts), total]
        return [sent, *lines, *map(in_full, days), facts.claim_file]
    if key in {"assignment", "authority"}:
        named = [in_full(facts.delivered_on), facts.carrier.name]
        return [*named, *serials(facts.lines)]
    if key == "salvage-offer":
        return [in_full(choices.answer_by), goods.held_at, *serials(here(facts))]
    if key == "salvage-account":
        days = (goods.offered.offered_on, goods.offered.answer_by, choices.sold_on)
        lines = [line.serial for line in here(facts) if line.number in choices.lines]
        return [choices.lot, choices.buyer, *map(in_full, days), *lines]
    if key == "non-receipt":
        counts = [f"{pieces.billed} skids", in_full(pieces.last_on)]
        return [*counts, *serials(short(facts)), choices.looked]
    seen = [f"{one.facts}." for one in goods.findings]
    numbered = [f"Finding {one.number}" for one in goods.findings]
    return [*seen, *numbered, *serials(facts.lines), goods.readings[0].reading]


@pytest.mark.one_in(3)
@pytest.mark.parametrize("key", ENDINGS)
def test_every_fact_is_there_once_and_right(key):
    """Each claim in every kind of letter in the whole form; else each in one kind."""
    place, step = (0, 1) if cases(0, 1) else (ENDINGS.index(key), len(ENDINGS))
    for number in range(place, CLAIMS, step):
        facts = claim_of(number)
        choices = choices_of(key, facts, number) or NoChoices()
        content, text = drawn(key, facts, choices, number)
        bill = f"{facts.bol} of {in_full(facts.bol_on)}"
        stated = [facts.pro, bill, facts.carrier_claim_number, content.subject]
        for fact in [*stated, *said_by(key, facts, choices)]:
            assert times(text, fact) == 1, (number, fact, text)


@pytest.mark.slow
def test_no_letter_names_the_goods_of_another_kind():
    for number in range(0, CLAIMS, 8):
        facts = claim_of(number)
        for key, absent in (
            ("salvage-offer", short(facts)),
            ("non-receipt", here(facts)),
        ):
            _, text = drawn(key, facts, choices_of(key, facts, number), number)
            assert not any(times(text, line.serial) for line in absent), number


@pytest.mark.slow
def test_the_amounts_of_a_salvage_sale_tie():
    """What the PDF says, read back from it: each step leads to the next."""
    for number in range(cases(60, CLAIMS)):
        facts = claim_of(number)
        choices = choices_of("salvage-account", facts, number)
        _, text = drawn("salvage-account", facts, choices, number)
        proceeds = read(text, "Proceeds USD")
        cost = read(text, "Hauling USD") if choices.cost_cents else 0
        net = read(text, "Net proceeds USD") if choices.cost_cents else proceeds
        deducted = read(text, "in the claim already USD")
        credit = read(text, "Credit on the claim USD")
        assert proceeds == choices.proceeds_cents
        assert net == proceeds + cost
        assert credit == max(net + deducted, 0) or credit < net + deducted
        if credit:
            before, after = read(text, "The claim was USD"), read(text, "is now USD")
            assert (before, before - credit) == (facts.claimed_cents, after)
        else:
            assert read(text, "The claim stays at USD") == facts.claimed_cents


def read(text, before):
    """Return the amount after these words, in cents; nothing where they are not."""
    found = re.findall(rf"{re.escape(before)} (-?[\d,]+\.\d\d)", text)
    assert len(found) <= 1, found
    return int(re.sub(r"[,.]", "", found[0])) if found else 0


def test_the_lines_of_a_withdrawal_come_to_the_claim():
    for number in range(0, CLAIMS, 8):
        facts = claim_of(number)
        choices = choices_of("withdrawal", facts)
        _, text = drawn("withdrawal", facts, choices, number)
        amounts = re.findall(r"(?<!USD )(?<![\d,])\d[\d,]*\.\d\d", text)
        cents = sum(int(re.sub(r"[,.]", "", one)) for one in amounts)
        assert cents == read(text, "All lines USD") == facts.claimed_cents, number


@pytest.mark.parametrize("key", ["assignment", "authority"])
def test_the_suppliers_paper_is_on_its_head_and_for_its_hand(key):
    content, text = drawn(key, claim_of(3), NoChoices(), 3)

    assert content.sender.name == "Harrow & Tine Works"
    assert content.addressee.name == "Quillback Northgate"
    assert "Name, title, date Harrow & Tine Works" in text
    assert "Mina Osterby" not in text


def test_a_statement_is_for_the_file_and_in_the_technicians_name():
    facts = replace(claim_of(3), signer="Ito Brandvold", signer_title="Technician")
    content, text = drawn(
        "technician-statement", facts, choices_of("technician-statement", facts), 3
    )

    assert content.addressee.name == "The claim file"
    assert "confirmed it under my own sign-in on November 26, 2026." in text
    assert "Ito Brandvold Technician" in text


@pytest.mark.parametrize("key", ENDINGS)
def test_the_mail_says_what_the_paper_does(key):
    facts = claim_of(5)
    content, _ = drawn(key, facts, choices_of(key, facts, 5) or NoChoices(), 5)
    mail = mail_text(content)

    told = [spelled_out(paragraph) for paragraph in content.paragraphs]
    assert [words for words in told if words not in mail] == []
