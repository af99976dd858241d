"""The one text function: cleaned, capped, split, printed literally."""

import re
import time
from pathlib import Path

import pytest

from inventory.documents.core import styles
from inventory.documents.core.fonts import BOX, PLAIN, width_of
from inventory.documents.core.text import MOST, PIECE, P, printable, wrapped

HOUSE = Path(__file__).parents[4]


def words_of(flowables):
    return " ".join(each.getPlainText() for each in flowables)


@pytest.mark.parametrize(
    "words",
    ["<b", "label says <torn>", "<!-- x -->", '<img src="/etc/hostname">', "a & b"],
)
def test_markup_is_printed_as_words(words):
    assert words_of(P(words, styles.BODY)) == words


def test_control_characters_and_half_characters_are_dropped():
    assert words_of(P("a\x00b\x1b[31mc\ud800\u202ed", styles.BODY)) == "ab[31mcd"


def test_empty_text_makes_nothing():
    assert P("", styles.BODY) == []
    assert P(" \n ", styles.BODY) == []


def test_long_text_is_split_without_loss():
    long = " ".join(f"w{n}" for n in range(2_000))
    made = P(long, styles.BODY)
    assert len(made) > 1
    assert all(len(each.getPlainText()) <= PIECE for each in made)
    assert words_of(made) == long


def test_what_is_cut_is_counted_on_the_page():
    made = words_of(P("x" * (MOST + 1_234), styles.BODY))
    assert "[1,234 more characters are on record, not printed here]" in made


def test_a_million_characters_and_many_lines_are_laid_out_in_time():
    start = time.perf_counter()
    for words in ("x" * 1_000_000, "line\n" * 20_000, "\n" * 20_000 + "end"):
        for each in P(words, styles.BODY):
            each.wrap(400, 10_000)
    assert time.perf_counter() - start < 8


def test_characters_without_a_drawing_become_a_box_with_a_note():
    shown = printable("\U0001f600 ok 箱", PLAIN)
    assert shown.text == f"{BOX} ok {BOX}"
    assert shown.lacking == ("\U0001f600", "箱")
    note = P("\U0001f600", styles.BODY)[-1].getPlainText()
    assert "U+1F600 grinning face" in note


def test_a_name_in_another_script_can_be_read_back_from_the_note():
    """Code points by the Unicode charts: U0600 Arabic, U4E00 CJK Unified Ideographs."""
    name = "أحمد 株式会社"
    *_, note = P(f"Signed by {name} and {name}", styles.BODY)

    told = note.getPlainText()
    assert f"{BOX * 4} U+0623 U+062D U+0645 U+062F" in told
    assert f"{BOX * 4} U+682A U+5F0F U+4F1A U+793E" in told
    assert told.count("U+682A") == 1


def test_a_note_spells_out_200_characters_and_counts_the_rest():
    *_, note = P("箱" * 250, styles.BODY)

    told = note.getPlainText()
    assert told.count("U+7BB1") == 200
    assert "and 50 more characters, on record" in told


def test_unusual_spaces_become_spaces_and_need_no_note():
    shown = printable("a\u2003b", PLAIN)
    assert shown.text in {"a b", "a\u2003b"}
    assert shown.lacking == ()


def test_wrapped_lines_fit_and_lose_nothing():
    words = "short " + "y" * 300 + " end"
    lines = wrapped(words, PLAIN, 9, 120)
    assert all(width_of(line, PLAIN, 9) <= 120 for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


def test_nothing_else_makes_a_paragraph():
    making = re.compile(r"\b(Paragraph|XPreformatted|Preformatted)\(")
    files = [
        path
        for area in ("inventory", "claims")
        for path in (HOUSE / area).rglob("*.py")
        if making.search(path.read_text(encoding="utf-8"))
    ]
    assert [path.relative_to(HOUSE).as_posix() for path in files] == [
        "inventory/documents/core/text.py"
    ]


def test_no_document_reads_an_address():
    from reportlab import rl_config

    import inventory.documents.core.page  # noqa: F401 - it sets what is asked here

    assert rl_config.trustedHosts == []
    assert rl_config.trustedSchemes == []
    assert rl_config.useA85 == 0
    assert rl_config.invariant == 1
