"""The upper floor's event kinds, each with the sentence shown in the history."""

from inventory.rules.core.event_kinds import Tone

CLAIM_KINDS = (
    "claim.",
    "supplement.",
    "packet.",
    "letter.",
    "finding.priced",
    "books.",
    "remittance.",
    "month.",
)
"""Prefixes of the kinds that name claim amounts, to decide who may see them."""

SENTENCES = {
    "delivery.test": "This is a test truck, for practice. It is taken back afterwards.",
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
    "claim.opened-elsewhere": "Claim {number} brought in as opened elsewhere: {amount}.",
    "claim.delivery-proven": "Delivery of {day} proven for claim {number}: {proof}.",
    "claim.made": "Claim {number} made from {count:finding}, {amount}.",
    "claim.credited-after-all": "Claim {number}: {supplier} credited {amount} after all, "
    "which comes off the claim. {reason}",
    "claim.made-way-home": "Claim {number} made for {count:crate} of return {return}, "
    "which {carrier} had, {amount}.",
    "claim.supplemented": "Claim {number}: supplement {supplement}, {count:finding}.",
    "claim.line-adjusted": "Claim {number}: line {line} set to {amount}. {reason}",
    "claim.addressed": "Claim {number} is addressed to {to}.",
    "claim.sent": "Claim {number} sent by {how} on {on}.",
    "claim.received": "Claim {number} received by the carrier on {on}.",
    "claim.acknowledged": "Claim {number} acknowledged on {on}, carrier's number {theirs}.",
    "claim.offered": "Claim {number}: carrier offered {amount} on {on}.",
    "claim.disallowed": "Claim {number} declined in writing on {on}: {reason}",
    "claim.countered": "Claim {number}: counter-offer of {amount} on {on}. {reason}",
    "claim.accepted": "Claim {number}: {amount} agreed on {on}. {reason}",
    "claim.refused": "Claim {number}: our refusal of the offer sent on {on}. {reason}",
    "claim.overlap": "Claim {number}: {insurer}, {supplier}. {reason}",
    "claim.costs": "Claim {number}: cost of going on entered: {costs}.",
    "claim.costs-here": "{place}: cost of going on entered: {costs}.",
    "claim.inspection-asked": "Claim {number}: inspection asked for on {on}, {how}.",
    "claim.inspection": "Claim {number}: {what}, {on}. {reason}",
    "claim.permission": "Claim {number}: {what}: {answer}, in writing on {on}. {reason}",
    "claim.papers-asked": "Claim {number}: carrier asked for documents on {on}{by}. "
    "{reason}",
    "claim.papers-supplied": "Claim {number}: documents sent on {on}, {how}. {reason}",
    "claim.salvage-sold": "Claim {number}: salvage sold for {amount} on {on}. {reason}",
    "claim.paid": "Claim {number}: {amount} received on {on}, {method}, {reference}.",
    "claim.payment-held": "Claim {number}: {amount} marked as full payment, {method}, "
    "{reference}, on {on}. Not deposited until a manager decides.",
    "claim.payment-reversed": "Claim {number}: payment {payment}, {amount}, reversed. "
    "{reason}",
    "claim.payment-decided": "Claim {number}: payment {payment}: {choice}. {reason}",
    "remittance.recorded": "Remittance {number}: {amount} from {payer} received on {on}, "
    "{method}, {reference}, put against {count:claim}. {rest}",
    "remittance.matched": "Remittance {number}: {amount} of the rest put against "
    "{count:claim}. {reason}",
    "remittance.decided": "Remittance {number}: {choice}. {reason}",
    "remittance.part-reversed": "Remittance {number}: its part of claim {claim}, {amount}, "
    "reversed, and owed to {payer}. {reason}",
    "remittance.reversed": "Remittance {number}, {amount}, reversed. {reason}",
    "claim.settled": "Claim {number} settled: {amount} received on {on}.",
    "claim.handed-over": (
        "Claim {number} handed to the supplier on {on} by {how}, to {whom}."
    ),
    "claim.not-pursued": "Claim {number} not pursued, {amount} not recovered. {reason}",
    "claim.reopened": "Claim {number} reopened. {reason}",
    "claim.withdrawn": "Claim {number} withdrawn. {reason}",
    "claim.withdrawal-told": "Claim {number}: withdrawal letter sent on {on}, {how}.",
    "claim.carried-over": "Claim {number}: records of an earlier version taken over.",
    "claim.paper-decided": "Claim {number}: {paper} not needed. {reason}",
    "claim.paper-given": "Claim {number}: {name} gets the {paper} by {due}. {reason}",
    "claim.paper-taken": "Claim {number}: {name} took over the {paper}, by {due}. "
    "{reason}",
    "claim.proven": "Claim {number}: proof of claim filed with the court on {on}. {proof}",
    "carrier.bankrupt": "{name} filed for bankruptcy on {on}: {court}, case {case}. Last "
    "day for a proof of claim: {due}. {reason}",
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
    "claim.figure-stated": "Claim {number}: {what} stated as {amount}. {reason}",
    "books.basis-set": "Claims filed from now on are booked {basis}; our own labor costs "
    "{rate} an hour.",
    "books.opened": "{count:claim} brought into the books on {on}.",
    "month.carried": "{check} of {month} carried: {what}. {reason}",
    "month.opened-again": "{check} of {month} is open again: it is no longer carried.",
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
    "claim.paid": "kept",
    "claim.payment-held": "late",
    "claim.payment-reversed": "late",
    "remittance.recorded": "kept",
    "remittance.reversed": "late",
    "claim.carried-over": "silent",
    "deadline.met": "kept",
    "notice.received": "kept",
    "receipt.mailed": "kept",
    # Counts stay in the chain; the history would drown in them.
    "deadlines.counted": "silent",
}
