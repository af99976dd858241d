"""A crate lost on the way home: claimed under the return's bill, and credited after all."""

from claims.actions.claim.steps import Sending, send_claim
from claims.actions.claim.way_home import HomeBill, claim_return, take_off_credits
from fixtures.returning import enter_and_post
from fixtures.steps import step


def tell_way_home(t, line):
    """Claim the crate of this line of a return, file it, and take a late credit off."""
    claim = claim_return(
        crate_return=line.crate_return,
        lines=[line.pk],
        bill=HomeBill(
            pro_number="GAN-5520-118", risk="destination", released_cents_per_lb=250
        ),
        person=t.manager,
        at=t.moment(t.ago(33), 9),
    )
    send_claim(claim=claim, sending=Sending("email"), step=step(t, claim, 32))
    enter_and_post(t, "OXC-2090", t.ago(31), [(line.crate, 4_000, "")])
    claim.refresh_from_db()
    take_off_credits(claim=claim, step=step(t, claim, 30))
