"""A crate's identifier is read in every form it comes in, and a bad one is answered."""

import pytest

from inventory.rules.codes.identifiers import parse
from inventory.rules.codes.own_marks import loose_key, own_key

GRAI = ("grai", "00614141123452", "400")
SSCC = ("sscc", "106141411234567897", "")
GS = "\x1d"


def read(text):
    found = parse(text)
    assert found.valid, found.problem
    return found.kind, found.key, found.serial


@pytest.mark.parametrize("prefix", ["", "]C1", "]e0", "]d2", "]Q3", "]J1", GS])
@pytest.mark.parametrize("end", ["", GS, "\r\n"])
def test_a_scan_reads_with_or_without_the_scanners_prefix(prefix, end):
    assert read(f"{prefix}800300614141123452400{end}") == GRAI


@pytest.mark.parametrize(
    "text",
    [
        "00106141411234567897",
        "106141411234567897",
        "1 0614141 123456789 7",
        "1-0614141-123456789-7",
        "(00) 1 0614141 123456789 7",
        "]C100106141411234567897",
        "  106141411234567897\n",
        "]Q1https://id.gs1.org/00/106141411234567897",
    ],
)
def test_an_sscc_reads_bare_spaced_and_scanned(text):
    assert read(text) == SSCC


@pytest.mark.parametrize(
    "text",
    [
        # order number, weight, contained product and its count, consignment
        f"]C1400PO-17{GS}00106141411234567897",
        "]C1001061414112345678973302000500",
        "]C1(00)106141411234567897(400)PO-17",
        f"0010614141123456789702095212345432133712{GS}401CONS-9",
        f"3302000500{GS}00106141411234567897",
        "330200050000106141411234567897",
        "(02)09521234543213(37)12(00)106141411234567897",
    ],
)
def test_the_crates_key_is_found_among_other_elements(text):
    assert read(text) == SSCC


def test_the_crates_own_key_comes_before_the_key_of_its_trip():
    assert read(f"00106141411234567897800300614141123452400{GS}21A") == GRAI


@pytest.mark.parametrize(
    "text",
    [
        "HTTPS://ID.GS1.ORG/8003/00614141123452400",
        "id.gs1.org/8003/00614141123452400",
        "http://crates.dealer.example:8080/a/b/8003/00614141123452400/",
        "https://dealer.example/00/8003/00614141123452400?99=x&400=17#top",
    ],
)
def test_a_link_of_any_domain_and_path_names_the_crate(text):
    assert read(text) == GRAI


def test_a_link_is_decoded_once_and_only_once():
    assert parse("https://x.example/8003/00614141123452a%252Fb").serial == "a%2Fb"
    assert parse("https://x.example/8003/00614141123452a%2Fb").serial == "a/b"


def test_the_zero_is_given_back_only_where_it_plainly_lacks():
    assert read("https://x.example/8003/0614141123452") == (*GRAI[:2], "")
    # In a scan nothing is guessed: the standard wants the zero there.
    found = parse("(8003)4012345555554987")
    assert not found.valid
    assert "begins with a zero" in found.problem


def test_a_giai_has_no_check_digit_and_no_serial_of_its_own():
    assert read("]C180040614141KX/9") == ("giai", "0614141KX/9", "")
    assert read("80040614141KX/9") == ("giai", "0614141KX/9", "")
    assert read("urn:epc:id:giai:0614141.KX%2F9") == ("giai", "0614141KX/9", "")
    assert parse("(8004)0614141KX/9").check_digit == ""


def test_eighteen_digits_that_could_be_two_keys_are_what_their_check_digit_says():
    assert read("800300614141123452")[0] == "grai"
    # 8003 stands at the start of this SSCC, but read as a GRAI its digit is wrong.
    assert read("800301234567890121")[0] == "sscc"


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("(00)106141411234567890", "sscc", "should be 7, not 0"),
        ("106141411234567890", "sscc", "should be 7, not 0"),
        ("(00)1061414112345678", "sscc", "18 digits, 0 to 9; this one has 16"),
        ("(00)", "sscc", "none follow"),
        ("(8003)0061414112345", "grai", "14 digits, 0 to 9; this one has 13"),
        ("(8003)10614141123452400", "grai", "begins with a zero"),
        ("(8003)00614141123452" + "A" * 17, "grai", "at most 16 characters"),
        ("(8003)00614141123452é", "grai", "The character é is not allowed"),
        ("https://x.example/8003/00614141123452a%20b", "grai", "character U+0020"),
        ("(8003)00614141123452#", "grai", "The character # is not allowed"),
        ("(8004)" + "0614141" + "A" * 24, "giai", "at most 30"),
        ("(8004)KX9", "giai", "company prefix"),
        ("]C1", "own", "scan is empty"),
        ("]C1KX9", "own", "not begin with a GS1 application identifier"),
        ("]C11234", "own", "(12) needs 6 digits after it"),
        ("]C121SERIAL", "own", "has no GRAI"),
        ("00106141411234567897KX", "sscc", "what follows the 18 digits"),
        ("https://x.example/8003/00614141123452a/b", "own", "as %2F"),
        ("https://x.example/8003/00614141123452a%zz", "own", "as %25"),
        ("https://x.example/8003/00614141123452%ff", "own", "are not text"),
        ("https://x.example/crates/17", "own", "has no GRAI"),
        ("https://[", "own", "not a readable web address"),
        ("https:///8003/00614141123452", "own", "not a readable web address"),
        ("urn:epc:id:sgtin:0614141.112345.400", "own", "not the EPC"),
        ("urn:epc:id:grai:0614141.12345", "own", "crate's serial"),
        ("urn:epc:id:grai:0614141.123456.400", "own", "must have 12 digits in all"),
        ("urn:epc:id:grai:06141.1234567.400", "own", "not the EPC"),
        ("", "own", "Nothing was entered"),
        (" \t\r\n", "own", "Nothing was entered"),
        ("---", "own", "no letter and no digit"),
        ("A" * 61, "own", "at most 60 characters; this one has 61"),
    ],
)
def test_what_is_wrong_is_said(text, kind, words):
    found = parse(text)

    assert (found.kind, found.valid) == (kind, False)
    assert words in found.problem
    assert found.problem.endswith(".")
    assert (found.digital_link, found.element_string) == ("", "")


@pytest.mark.parametrize("text", ["CINDER\tCRATE 7", "RK\u202e42", "RK\x0042"])
def test_a_mark_with_an_invisible_character_has_no_key(text):
    assert parse(text).key == ""


@pytest.mark.parametrize(
    "text",
    [
        "\x00",
        "RK\x0042",
        "\ud800",
        "A" * 10_000,
        "(8003)" + "0" * 10_000,
        "１０６１４１４１１２３４５６７８９７",
        "(00)１０６１４１４１１２３４５６７８９７",
        "١٢٣",
        "RK²",
        "RK\u202e42",
        "https://x.example/8003/\udcff",
        "(8003)00614141123452\x00",
    ],
)
def test_hostile_text_is_answered_as_invalid(text):
    found = parse(text)

    assert not found.valid
    assert found.problem
    assert found.digital_link == ""


def test_typed_marks_are_compared_without_regard_to_case_gaps_and_dashes():
    same = ["RK-0042", " rk 0042", "Rk–0042", "rk _ 0042", "RK  - 0042"]
    assert {read(text) for text in same} == {("own", "RK-0042", "")}
    assert own_key("A-1-12") != own_key("A-11-2")
    assert loose_key("RK-0042") == loose_key("rk0042") == "RK0042"


def test_bare_thirteen_and_fourteen_digits_stay_a_mark_of_ones_own():
    # A product and a place have numbers of the same shape: we do not guess.
    assert read("0614141123452")[0] == "own"
    assert read("00614141123452")[0] == "own"


def test_a_bracket_in_a_serial_is_not_taken_for_the_next_element():
    found = parse("https://x.example/8003/00614141123452a(01)b")

    assert found.element_string == r"(8003)00614141123452a\(01)b"
    assert parse(found.element_string) == found
    assert parse("(8003)00614141123452a(b)").serial == "a(b)"
