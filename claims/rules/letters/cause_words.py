"""Words that say why something is damaged, which a technician's statement leaves out.

A statement of what was seen is evidence; an opinion on the cause is the other side's
first question. The table is our own, no source. Each row has words that only look alike,
and those pass: a shock absorber is a part, and "due" is also a date.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

Words = tuple[str, ...]


@dataclass(frozen=True)
class CauseWord:
    """One way to say a cause: its pattern, samples, and what only looks alike."""

    pattern: str
    says: Words
    alike: Words = ()


_BE = r"(?:was|were|is|are|been|being|got)"

CAUSE_WORDS: tuple[CauseWord, ...] = (
    CauseWord(
        r"\b(?:root |likely )?caus(?:e|es|ed|ing)\b",
        ("The deck was bent, caused by a fork.", "The cause is not known."),
        ("The lot is by the causeway.",),
    ),
    CauseWord(
        r"\bbecause\b|\bdue to\b|\bowing to\b|\bon account of\b|\bthanks to\b",
        ("Bent because the crate fell.", "Cracked due to a blow."),
        ("The next inspection is due Tuesday.", "Oil change due: 50 hours."),
    ),
    CauseWord(
        r"\bas a result\b|\bresult(?:s|ed|ing)? (?:of|from|in)\b|(?-i:\bled to\b)"
        r"|\bresponsible\b",
        ("It leaks as a result.", "The dent results from a fork."),
        (
            "Result: 40 psi.",
            "The LED to the left is dark, the LED on the right is lit.",
        ),
    ),
    CauseWord(
        r"\b(?:in|during|from|while in) (?:the )?(?:transit|transport|transportation"
        r"|shipping|shipment|carriage)\b|\b(?:transit|shipping|freight) damage\b",
        ("It broke in transit.", "This is freight damage."),
        ("The transition plate is bent.", "The shipping label says crate 2 of 3."),
    ),
    CauseWord(
        r"\b(?:mis|rough|bad|poor|careless)[ -]?handl\w*"
        r"|\bhandling damage\b|\bcareless\w*|\bnegligen\w*|\breckless\w*|\babus\w*",
        ("Rough handling bent it.", "The driver was careless."),
        ("The handle and the handlebar are bent.",),
    ),
    CauseWord(
        rf"\b{_BE} (?:\w+ )?(?:dropped|hit|struck|rammed|thrown|knocked|tipped over by"
        r"|run over|speared)\b|\b(?:hit|struck|dropped|rammed|speared) by\b",
        ("The crate was dropped.", "The side was struck by a fork."),
        (
            "The drop pin is missing.",
            "The strike plate is bent.",
            "The crate is tipped over on side 2.",
        ),
    ),
    CauseWord(
        r"\bfork ?(?:lift|truck)?s? (?:\w+ )?(?:hit|struck|went|punctur\w+|pierced|ran)\b"
        r"|\bby (?:a|the) (?:fork ?lift|fork|driver|carrier|trucker|shipper)\b",
        ("A forklift hit the panel.", "Punctured by the carrier."),
        ("I moved the crate with our forklift.", "The carrier's label is on side 1."),
    ),
    CauseWord(
        r"\b(?:an?|the|heavy|hard|side|strong) (?:impact|blow|shock)\b"
        r"(?![ -](?:wrench|socket|gun|driver|off|absorber|indicator|sensor|label))"
        r"|\bimpact damage\b|\bcollision\b",
        ("A heavy blow bent the frame.", "This is impact damage."),
        ("I used an impact wrench.", "The shock indicator on side 2 is red."),
    ),
    CauseWord(
        r"\bshift(?:ed|ing) (?:in|during|on|while)\b|\bcame loose (?:in|during|on)\b",
        ("The machine shifted during the trip.",),
        ("The shift lever is bent.", "I worked the day shift on that crate."),
    ),
    CauseWord(
        r"\b(?:at|carrier'?s?|driver'?s?|shipper'?s?|supplier'?s?|their|his|our|whose)"
        r" fault\b|\bto blame\b|\bliab\w+",
        ("It is the carrier's fault.", "The carrier is liable."),
        ("The panel shows fault code 12.",),
    ),
    CauseWord(
        r"\b(?:factory|manufactur\w+|material|production) (?:defect|fault|error)\w*"
        r"|\b(?:badly|poorly|wrongly|improperly|insufficiently|inadequately)"
        r" (?:packed|crated|braced|blocked|loaded|secured|made|assembled)\b"
        r"|\bpoor(?:ly)? pack\w*",
        ("This is a factory defect.", "It was poorly packed."),
        ("The factory label reads 2026.", "The crate is packed with foam."),
    ),
    CauseWord(
        r"\b(?:probably|presumably|likely|unlikely|apparently|obviously|evidently"
        r"|must have|could have|may have|might have|appears? to have|seems? to have"
        r"|consistent with|suggests?|indicates? that|points? to)\b",
        (
            "It must have fallen.",
            "Probably a fork.",
            "The dent is consistent with a fall.",
        ),
        ("The gauge indicates 40 psi.", "The pointer is at zero."),
    ),
    CauseWord(
        r"\bi (?:think|believe|suspect|guess|assume|suppose)\b|\bin my (?:opinion|view)\b",
        ("I think the crate fell.", "In my opinion it was new."),
        ("In my presence the crate was opened.",),
    ),
)


def causes_said(text: str) -> tuple[str, ...]:
    """Return the words of this text that say a cause, as written, each once."""
    plain = _plain(text)
    found = sorted(set(_found(plain)))
    return tuple(dict.fromkeys(plain[start:end] for start, end in found))


def _found(plain: str) -> Iterator[tuple[int, int]]:
    for row in CAUSE_WORDS:
        for match in re.finditer(row.pattern, plain, re.IGNORECASE):
            yield match.span()


def _plain(text: str) -> str:
    """Return the text in one form: one kind of letter, apostrophe and space."""
    folded = unicodedata.normalize("NFKC", text).replace("\u00ad", "")
    return " ".join(folded.replace("\u2019", "'").split())
