"""Letters about a claim as PDF: read back, over two hundred claims, on both papers."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from claims.documents.letters import letter_pdf
from claims.rules.letters.claim_letter_content import write_letter
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.content import DRAFT
from inventory.rules.reckoning.calendars import in_full
from tests.claims.rules.letters.claim_samples import choices_for, some_claims, told

WIDTHS = {"letter": 612, "a4": 595.3}
"""Points: US Letter is 8.5 in wide, ISO 216 A4 210 mm."""

WAITING = ("cover", "tracer", "reminder", "status", "documents")


def letter_for(number, facts):
    """Return one of the letters that are possible for this claim, with its kind."""
    turned = [*WAITING[number % 5 :], *WAITING[: number % 5]]
    kind = next(KINDS[key] for key in turned if not KINDS[key].against(facts))
    paper = ("letter", "a4")[number % 2]
    choices = choices_for(kind, facts)
    return kind, write_letter(kind, facts, choices, number=1, paper=paper)


def read(data):
    """Return the pages' texts without their foot, and the pages."""
    pages = PdfReader(BytesIO(data)).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    return [text.partition(f"of {len(pages)} ")[2] for text in texts], pages


@pytest.mark.one_in(4)
@pytest.mark.parametrize("part", range(8))
def test_each_fact_is_read_from_the_pdf_once(part):
    claims = some_claims()
    for number in range(part * 25, part * 25 + 25):
        facts = claims[number]
        kind, letter = letter_for(number, facts)
        texts, pages = read(letter_pdf(letter.content))
        assert len(pages) == 1, kind.key
        assert "DRAFT" not in texts[0]
        assert pages[0].mediabox.width == pytest.approx(
            WIDTHS[letter.content.paper], abs=0.1
        )
        for fact in [*told(kind, facts), in_full(facts.today), facts.carrier.name]:
            assert texts[0].count(fact) == 1, (kind.key, fact, texts[0])


def test_a_letter_that_nobody_confirmed_says_so_on_every_page():
    facts = some_claims(1)[0]
    _kind, letter = letter_for(0, facts)
    paragraphs = letter.content.paragraphs * 30
    long = type(letter.content)(
        **{**vars(letter.content), "paragraphs": paragraphs, "paper": "a4"}
    )
    texts, pages = read(letter_pdf(long, mark=DRAFT))
    assert len(pages) > 1
    assert all(DRAFT in text for text in texts)
    assert letter_pdf(long) == letter_pdf(long)
