"""The upper floor's event kinds, each with the sentence shown in the history."""

from inventory.rules.core.event_kinds import Tone

CLAIM_KINDS = ("claim.", "supplement.", "packet.", "letter.", "finding.priced")
"""Prefixes of the kinds that name claim amounts, to decide who may see them."""

SENTENCES = {
    "inspection.recorded": "{stage}: {what} inspected.",
    "finding.recorded": "Finding {number}: {what}.",
    "finding.changed": "Finding {number} changed: {changed}.",
    "finding.priced": "Finding {number} priced at {amount}.",
    "finding.answered": "Finding {number}, our handling: {answer}. {reason}",
    "finding.routed": "Finding {number}, recover from: {route}. {reason}",
    "setup-list.made": "Setup list {kind}, version {number}: {count:line}. {reason}",
    "model-entry.made": "Model entry {model}, number {number}: {count:target}.",
    "setup.begun": "Setup of {unit} begun, {list}.",
    "setup.line-read": "Setup of {unit}, {line}: {result}. {sentence}",
    "setup.line-decided": "Setup of {unit}, {line}: {decision}. {reason}",
    "setup.signed-off": "{unit} signed off: {state}. {items}",
    "setup.released": "{unit} released without sign-off. {reason}",
    "machine.left": "{unit} left on {on}: {way}, {to}.",
    "machine.back": "{unit} is back. {reason}",
    "minutes.booked": "{minutes} min booked on {unit}: {work}.",
    "minutes.reversed": "{minutes} min taken back on {unit}: {work}. {reason}",
    "part.tagged": "{tag} on {shelf}.",
    "part.waived": "{tag}: carrier waived it in writing.",
    "part.collected": "{tag} collected by {who} on {on}.",
    "part.scrapped": "{tag} scrapped: {why}.",
    "notice.written": "{kind} written for {addressee}.",
    "notice.letter": "Letter made: {kind}, version {version}.",
    "notice.sent": "{kind} sent by {how} on {on}.",
    "notice.received": "{kind}: proof of delivery recorded for {on}.",
    "packaging.letter": "Letter to {who} about the packaging hold on crate {number} "
    "confirmed, version {version}.",
    "receipt.mailed": "Exceptions of {bills} mailed to the carrier's terminal, {to}.",
    "claim.made": "Claim {number} made from {count:finding}, {amount}.",
    "claim.supplemented": "Claim {number}: supplement {supplement}, {count:finding}.",
    "claim.line-adjusted": "Claim {number}: line {line} set to {amount}. {reason}",
    "claim.sent": "Claim {number} sent by {how} on {on}.",
    "claim.received": "Claim {number} received by the carrier on {on}.",
    "claim.acknowledged": "Claim {number} acknowledged on {on}, carrier's number {theirs}.",
    "claim.offered": "Claim {number}: carrier offered {amount} on {on}.",
    "claim.disallowed": "Claim {number} declined in writing on {on}: {reason}",
    "claim.settled": "Claim {number} settled: {amount} received on {on}.",
    "claim.withdrawn": "Claim {number} withdrawn. {reason}",
    "claim.paper-decided": "Claim {number}: {paper} not needed. {reason}",
    "deadlines.counted": "Deadlines counted: {count} running.",
    "deadline.overridden": "{duty}: our own date is {due}. {reason}",
    "deadline.met": "{duty} met on {on}.",
    "supplement.received": "Claim {number}: supplement {supplement} received by the "
    "carrier on {on}.",
    "supplement.sent": "Claim {number}: supplement {supplement} sent by {how} on {on}.",
    "packet.kept": "Claim {number}: claim file {version} saved as it was sent, {sha}.",
    "packet.made": "Claim {number}: claim file {version} confirmed and made, {sha}. "
    "Originals: {originals}.",
    "packet.lighter": "Claim {number}: lighter edition of claim file {version} confirmed "
    "and made, {size}, {sha}.",
    "letter.confirmed": "Claim {number}: letter {letter} confirmed, {kind}. {sha}",
    "letter.sent": "Claim {number}: letter {letter} sent by {how} on {on}.",
    "letter.received": "Claim {number}: letter {letter} received on {on}. {proof}",
    "letter.dropped": "Claim {number}: letter {letter} dropped, not sent. {reason}",
    "calendar.made": "{name} made a private calendar address.",
    "calendar.ended": "{name} ended the private calendar address.",
    "morning-mail.asked": "{name} asked for a mail each morning at {hour}.",
    "morning-mail.ended": "{name} stopped the morning mail.",
    "morning-mail.made": "Morning mail for {name} made.",
    "claim.file-facts": "Claim {number}: facts for the claim file entered.",
    "claim.counsel": "Claim {number}: {name} asked for the opposing arguments on {on}.",
}

TONES: dict[str, Tone] = {
    "claim.disallowed": "late",
    "claim.withdrawn": "late",
    "claim.received": "kept",
    "claim.settled": "kept",
    "deadline.met": "kept",
    "notice.received": "kept",
    "receipt.mailed": "kept",
    # Counts stay in the chain; the history would drown in them.
    "deadlines.counted": "silent",
}
