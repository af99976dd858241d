"""What a rebuttal may quote of the delivery: receipt, load, unloading, seal, count.

A function returns what the letter says of one fact: the day, the words as written, the
exhibit. It returns the empty text where the record does not have it, and never says that
something is not there.
"""

from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.rebuttal_words import cited, photos_of, plural, your_driver
from claims.rules.letters.record_facts import RecordFacts
from claims.rules.packet.wording import listed
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import UNLOADED_WITH
from inventory.rules.reckoning.calendars import in_full

DELIVERED = ("look", "face", "label")
_NOTED = {
    "signed": "{driver} signed the delivery receipt with our exceptions{copies}",
    "handheld": (
        "we noted these exceptions with {driver}, whose handheld took no exceptions"
    ),
    "refused": "we noted these exceptions, and {driver} refused to sign{witness}",
    "no-wait": "we noted these exceptions, and {driver} would not wait{witness}",
    "dropped": "we noted these exceptions; no driver was present{witness}",
    "unattended": "we noted these exceptions; no driver was present{witness}",
}
_COPIES = {"both": ", on both copies", "ours": ", on our copy", "carrier": ", on yours"}


def exceptions(facts: LetterFacts, record: RecordFacts) -> str:
    """Return each receipt's exceptions as written, with how it was signed."""
    told = []
    for row in record.receipts:
        if row.words and row.ending in _NOTED:
            how = _NOTED[row.ending].format(
                driver=your_driver(row),
                copies=_COPIES.get(row.copies, ""),
                witness=f" (witness: {row.witness})" if row.witness else "",
            )
            photos = cited(one.exhibit for one in record.of("receipt"))
            words = " ".join(row.words.split())
            told.append(f'On {in_full(row.on)} {how}{photos}: "{words}"')
    return " ".join(told)


def on_your_pod(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that the carrier's own copy shows the exceptions."""
    rows = [row for row in record.receipts if row.words and row.pod == "matches"]
    if not rows:
        return ""
    days = listed([in_full(row.on) for row in rows])
    photos = cited(one.exhibit for one in record.of("carrier-image"))
    return f"Your own proof of delivery of {days} shows our exceptions{photos}."


def protest(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the day of our protest against the carrier's copy."""
    rows = [row for row in record.notices if row.kind == "protest"]
    if not rows:
        return ""
    return (
        f"On {in_full(rows[0].sent_on)} we wrote to you that your copy does not show "
        "the exceptions noted at delivery."
    )


def delivered_photos(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the photos of the crates as delivered, taken on that day."""
    photos = photos_of(record.of(*DELIVERED, on=record.first_day))
    if record.first_day is None or not photos:
        return ""
    return f"The freight was photographed as delivered: {photos}."


def load_photos(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the photos of the load before it was unloaded."""
    photos = photos_of(record.of("load"))
    return (
        f"The load was photographed before it was unloaded: {photos}." if photos else ""
    )


def on_trailer(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that damage was seen before anything was moved."""
    rows = [row for row in record.receipts if row.on_trailer]
    if not rows:
        return ""
    trailer = f" {rows[0].trailer}" if rows[0].trailer else ""
    return (
        f"On {in_full(rows[0].on)} the damage was seen on your trailer{trailer}, "
        "before anything was unloaded."
    )


def driver_unloaded(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that the carrier's driver unloaded."""
    rows = [row for row in record.receipts if row.unloaded_by == "driver"]
    if not rows:
        return ""
    row = rows[0]
    tool = UNLOADED_WITH.get(row.unloaded_with, "")
    with_what = f" ({mid_sentence(tool)})" if tool else ""
    who = your_driver(row)
    said = f"{who[:1].upper()}{who[1:]} unloaded"
    return f"{said} on {in_full(row.on)}{with_what}."


def seal(facts: LetterFacts, record: RecordFacts) -> str:
    """Return a seal that was broken, or was another than the bill names."""
    told = {"broken": "was broken", "differs": "was not the one on the bill"}
    rows = [row for row in record.receipts if row.seal and row.seal_condition in told]
    if not rows:
        return ""
    row = rows[0]
    return (
        f"On {in_full(row.on)} seal {row.seal} of your trailer {row.trailer}".rstrip()
        + f" {told[row.seal_condition]}."
    )


def counted(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that all pieces were counted at the dock, or how many were not there."""
    counts = [row.counted for row in record.receipts]
    if not record.pieces or not counts or None in counts:
        return ""
    total = sum(count for count in counts if count is not None)
    of = plural(record.pieces, record.piece_unit)
    day = listed([in_full(row.on) for row in record.receipts])
    if total == record.pieces and not record.has_shortage:
        all_of = f"All {of} billed were" if total > 1 else f"The {of} billed was"
        return f"{all_of} counted at our dock on {day}."
    signed = any(row.words and row.ending == "signed" for row in record.receipts)
    if total < record.pieces and record.has_shortage and signed:
        return (
            f"{total} of {of} billed were counted at our dock on {day}, and your driver "
            "signed for that count."
        )
    return ""


def your_truck(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the driver or trailer that brought the freight under the PRO number."""
    rows = [row for row in record.receipts if row.driver or row.trailer]
    if not (rows and facts.pro):
        return ""
    row = rows[0]
    trailer = f" with trailer {row.trailer}" if row.trailer else ""
    return (
        f"On {in_full(row.on)} {your_driver(row)}{trailer} delivered this freight "
        "at our dock under your PRO number."
    )


def unmarked(facts: LetterFacts, record: RecordFacts) -> str:
    """Return how many other crates of the bill showed no damage."""
    count = record.unmarked
    if not count:
        return ""
    if count == 1:
        return "One other crate of this freight bill showed no damage at delivery."
    return f"{count} other crates of this freight bill showed no damage at delivery."
