"""A regime's records as a page that a claims lawyer can check line by line."""

from claims.rules.damages.limits_records import LimitRecord, limit_records
from claims.rules.regimes.records import Reading, Record, Regime, Start
from inventory.rules.reckoning.calendars import in_words

_TRIGGERS = {
    "delivery": "delivery (for a refusal: the tender)",
    "bill": "the date of the bill of lading",
    "shipment": "shipment (the bill's date, else the taking over)",
    "taken-over": "taking over by the carrier",
    "agreed-delivery": "the agreed day of delivery",
    "arrival": "arrival at destination",
    "refusal": "refusal",
    "discovery": "discovery",
    "claim-received": "the carrier's receipt of the claim",
    "disallowance": "the first written disallowance",
    "disposition": "the last day for the carrier's answer, then each report",
}


def page_for(regime: Regime, version: str) -> str:
    """Return the regime's page in Markdown."""
    lines = [
        f"# {regime.title}",
        "",
        (
            f"Key `{regime.key}` · rules version {version} · "
            "printed from the records; do not edit."
        ),
        "Not legal advice.",
        "",
        f"- Authority: {regime.authority}.",
        f"- Holidays when no calendar is named: {regime.calendar or 'none'}.",
    ]
    if regime.effective_from is not None:
        lines.append(f"- The table applies from {in_words(regime.effective_from)}.")
    lines += [f"- {note}" for note in regime.notes]
    lines.append("")
    if not regime.records:
        lines += [
            "No period of its own: every period comes from the terms entered.",
            "",
        ]
    for record in regime.records:
        lines += [*_section(record), ""]
    for limit in limit_records(regime.key):
        lines += [*_limit_section(limit), ""]
    return "\n".join(lines).rstrip() + "\n"


def _section(record: Record) -> list[str]:
    lines = [
        f"## {record.duty}: {', '.join(record.losses)}",
        "",
        f"- Record: `{record.key}`",
        f"- Owed by: the {record.owed_by}",
        f"- Starts with: {_starts(record)}",
        f"- Period: {_length(record)}",
        f"- Lateness: {record.effect}",
        f"- Authority: {record.authority}",
        f"- Confidence: {record.confidence}",
    ]
    lines += _options(record)
    lines += [f"- {note}" for note in record.notes]
    return lines


def _limit_section(limit: LimitRecord) -> list[str]:
    lines = [f"## Limit of liability · `{limit.key}`", "", f"- {limit.words}"]
    if limit.figure is not None:
        lines.append(f"- Figure: {limit.figure} {limit.unit} ({limit.measure})")
    if limit.kg_figure is not None:
        lines.append(f"- Second figure: {limit.kg_figure} {limit.unit} a kilogram")
    if limit.applies_from is not None:
        lines.append(f"- Carriage from {in_words(limit.applies_from)}")
    if limit.charges_outside:
        lines.append("- Carriage charges are refunded on top of it")
    return [
        *lines,
        f"- Authority: {limit.authority}",
        f"- Confidence: {limit.confidence}",
    ]


def _start(start: Start) -> str:
    words = _TRIGGERS[start.trigger]
    return f"{start.plus} {start.plus_unit} after {words}" if start.plus else words


def _starts(record: Record) -> str:
    words = [_start(start) for start in record.starts]
    if len(words) == 1:
        return words[0]
    if record.pick == "earliest":
        return f"the earliest known of {'; '.join(words)}"
    return f"the first known of {'; '.join(words)}"


def _length(record: Record) -> str:
    if record.count is None:
        return "none in the law: the bill, tariff or statute named must be read"
    if record.count == 0:
        return "on that day itself"
    odd = f" and {record.plus_days} day" if record.plus_days else ""
    excepted = "" if record.excepted == "none" else ", Sundays and holidays left out"
    return (
        f"{record.count} {record.unit.replace('-', ' ')}{odd}{excepted}; the first day "
        "not counted, the last day not moved"
    )


def _options(record: Record) -> list[str]:
    lines = []
    if record.sight != "either":
        lines.append(f"- Only for what is {record.sight} at delivery")
    if record.effective_from is not None:
        lines.append(f"- Bills dated from {in_words(record.effective_from)}")
    if record.effective_until is not None:
        lines.append(f"- Bills dated before {in_words(record.effective_until)}")
    if record.floor is not None:
        floor = record.floor
        lines.append(
            f"- Floor for contract terms: {floor.count} {floor.unit} ({floor.authority})"
        )
    if record.is_suspended_by_claim:
        lines.append("- A written claim suspends it")
    return lines + [_reading(reading) for reading in record.also]


def _reading(reading: Reading) -> str:
    parts = []
    if reading.count is not None and reading.unit is not None:
        parts.append(f"{reading.count} {reading.unit.replace('-', ' ')}")
    if reading.starts is not None:
        parts.append(f"from {' or '.join(_start(start) for start in reading.starts)}")
    if reading.effective_from is not None:
        parts.append(f"for bills from {in_words(reading.effective_from)}")
    return f"- Stricter reading for the safe date: {reading.words} ({', '.join(parts)})"
