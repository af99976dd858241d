"""The upper floor's event kinds, each with the sentence a story tells it by."""

CLAIM_KINDS = ("claim.", "supplement.", "packet.", "finding.priced")
"""Beginnings of the kinds that name amounts of claims: for who may see those."""

SENTENCES = {
    "inspection.recorded": "{stage}: {what} looked over.",
    "finding.recorded": "Finding {number}: {what}.",
    "finding.changed": "Finding {number} changed: {changed}.",
    "finding.priced": "Finding {number} priced at {amount}.",
    "finding.answered": "Finding {number}, handling here: {answer}. {reason}",
    "finding.routed": "Finding {number} goes to {route}. {reason}",
    "notice.written": "{kind} written for {addressee}.",
    "notice.sent": "{kind} sent by {how} on {on}.",
    "notice.received": "{kind}: receipt proven for {on}.",
    "claim.made": "Claim {number} made of {count:finding}, {amount}.",
    "claim.supplemented": "Claim {number}: supplement {supplement}, {count:finding}.",
    "claim.line-adjusted": "Claim {number}: line {line} set to {amount}. {reason}",
    "claim.sent": "Claim {number} sent by {how} on {on}.",
    "claim.received": "Claim {number} received by the carrier on {on}.",
    "claim.acknowledged": "Claim {number} acknowledged on {on}, carrier's number {theirs}.",
    "claim.offered": "Claim {number}: carrier offers {amount} on {on}.",
    "claim.disallowed": "Claim {number} disallowed in writing on {on}: {reason}",
    "claim.settled": "Claim {number} settled: {amount} received on {on}.",
    "claim.withdrawn": "Claim {number} withdrawn. {reason}",
    "claim.paper-decided": "Claim {number}: {paper} not needed. {reason}",
    "deadlines.counted": "Deadlines counted: {count} running.",
    "deadline.overridden": "{duty}: our date is {due}. {reason}",
    "deadline.met": "{duty} met on {on}.",
    "supplement.received": "Claim {number}: supplement {supplement} received by the "
    "carrier on {on}.",
    "supplement.sent": "Claim {number}: supplement {supplement} sent by {how} on {on}.",
    "packet.kept": "Claim {number}: packet {version} kept as it went out, {sha}.",
    "packet.made": "Claim {number}: packet {version} made, {sha}.",
}
