"""Check digits, element strings and links that others published, each beside its source.

"text seen" and "from memory" say how sure we are of the value.
"""

import pytest

from inventory.rules.codes.gs1 import check_digit
from inventory.rules.codes.identifiers import parse

DIGITS = [
    # digits before the check digit, check digit, source
    ("629104150021", "3", "GS1 Hong Kong, how to calculate a check digit, text seen"),
    ("890400021003", "7", "GS1 India, check digit page, text seen"),
    ("10614141123456789", "7", "SSCC of the Digital Link examples, text seen"),
    ("061414112345", "2", "GRAI of the EPC Tag Data Standard's examples"),
]


@pytest.mark.parametrize(("body", "expected", "source"), DIGITS)
def test_the_check_digit_is_the_published_one(body, expected, source):
    assert check_digit(body) == expected, source


FORMS = [
    # what is read, its element string, its link, source
    (
        "urn:epc:id:grai:0614141.12345.400",
        "(8003)00614141123452400",
        "https://id.gs1.org/8003/00614141123452400",
        "EPC Tag Data Standard, name form; text seen, check digit derived",
    ),
    (
        "urn:epc:id:grai:0614141.12345.5678",
        "(8003)006141411234525678",
        "https://id.gs1.org/8003/006141411234525678",
        "public test of tag data translation, text seen",
    ),
    (
        "urn:epc:id:grai:0614141.12345.ABCD1234%2F",
        "(8003)00614141123452ABCD1234/",
        "https://id.gs1.org/8003/00614141123452ABCD1234%2F",
        "EPC Tag Data Standard's example of a serial with a slash, text seen",
    ),
    (
        "urn:epc:id:grai:4012345.00022.334455",
        "(8003)04012345000221334455",
        "https://id.gs1.org/8003/04012345000221334455",
        "public test of a normaliser, text seen",
    ),
    (
        "(8003)0952114112345432a/b",
        "(8003)0952114112345432a/b",
        "https://id.gs1.org/8003/0952114112345432a%2Fb",
        "EPC Tag Data Standard 2.3, GRAI+, as a public test quotes it",
    ),
    (
        "https://id.gs1.org/8003/4012345555554987",
        "(8003)04012345555554987",
        "https://id.gs1.org/8003/04012345555554987",
        "public EPCIS samples drop the leading zero, text seen",
    ),
    (
        "https://id.gs1.org/00/106141411234567897",
        "(00)106141411234567897",
        "https://id.gs1.org/00/106141411234567897",
        "GS1 Digital Link examples, text seen",
    ),
    (
        "urn:epc:id:sscc:0614141.1123456789",
        "(00)106141411234567897",
        "https://id.gs1.org/00/106141411234567897",
        "EPC Tag Data Standard, name form from memory; the key is text seen",
    ),
]


@pytest.mark.parametrize(("text", "element_string", "link", "source"), FORMS)
def test_each_form_leads_to_the_published_others(text, element_string, link, source):
    found = parse(text)

    assert found.valid, source
    assert found.element_string == element_string, source
    assert found.digital_link == link, source


WRONG = [
    # text, check digit that it calls for; each passes in a library that leaves it out
    ("(8003)006141411234535678", "2"),
    ("(00)106141412345678900", "8"),
]


@pytest.mark.parametrize(("text", "due"), WRONG)
def test_a_wrong_digit_that_a_common_library_lets_pass_is_found(text, due):
    found = parse(text)

    assert not found.valid
    assert found.check_digit == due
    assert f"should be {due}, not" in found.problem


def test_a_product_of_the_published_links_is_no_crate():
    # The GS1 Digital Link examples' product, and the same below another domain.
    for text in (
        "https://id.gs1.org/01/09521234543213/10/ABC123/21/12345",
        "https://example.com/products/01/09521234543213",
    ):
        found = parse(text)
        assert (found.kind, found.valid, found.digital_link) == ("own", False, "")
