"""Addresses of claims, their lines, clocks, papers, packets and notices."""

from django.urls import URLPattern, path

from claims.views import (
    claim,
    claim_desk,
    claim_making,
    claim_steps,
    decisions,
    notices,
    packet_files,
    supplements,
)

_CLAIM = "claims/<int:pk>"

routes: list[URLPattern] = [
    path("claims/", claim_desk.claims, name="claims"),
    path(f"{_CLAIM}/", claim.claim, name="claim"),
    path("shipments/<int:pk>/claim/", claim_making.make_claim, name="make_claim"),
    path(
        f"{_CLAIM}/supplement/", claim_making.supplement_claim, name="supplement_claim"
    ),
    path("lines/<int:pk>/adjust/", claim_making.adjust_line, name="adjust_line"),
    path("lines/<int:pk>/strike/", claim_making.strike_line, name="strike_line"),
    path(f"{_CLAIM}/send/", claim_steps.send_claim, name="send_claim"),
    path(f"{_CLAIM}/received/", claim_steps.record_receipt, name="record_receipt"),
    path(
        f"{_CLAIM}/acknowledged/",
        claim_steps.record_acknowledgement,
        name="record_acknowledgement",
    ),
    path(f"{_CLAIM}/offer/", claim_steps.record_offer, name="record_offer"),
    path(
        f"{_CLAIM}/disallowed/",
        claim_steps.record_disallowance,
        name="record_disallowance",
    ),
    path(f"{_CLAIM}/settled/", claim_steps.record_settlement, name="record_settlement"),
    path(f"{_CLAIM}/withdraw/", claim_steps.withdraw_claim, name="withdraw_claim"),
    path(
        "supplements/<int:pk>/send/",
        supplements.send_supplement,
        name="send_supplement",
    ),
    path(
        "supplements/<int:pk>/received/",
        supplements.receive_supplement,
        name="receive_supplement",
    ),
    path(f"{_CLAIM}/papers/<slug:paper>/", decisions.decide_paper, name="decide_paper"),
    path(
        "deadlines/<int:pk>/override/",
        decisions.override_deadline,
        name="override_deadline",
    ),
    path(
        "shipments/<int:pk>/notices/new/<slug:kind>/",
        notices.write_notice,
        name="write_notice",
    ),
    path("notices/<int:pk>/", notices.notice, name="notice"),
    path("notices/<int:pk>/letter.pdf", notices.notice_letter, name="notice_letter"),
    path("notices/<int:pk>/send/", notices.send_notice, name="send_notice"),
    path("notices/<int:pk>/received/", notices.receive_notice, name="receive_notice"),
    path(f"{_CLAIM}/packet/", claim.build_packet, name="build_packet"),
    path("packets/<int:pk>/packet.pdf", claim.packet, name="packet"),
    path(
        "packets/<int:pk>/originals.zip",
        packet_files.packet_originals,
        name="packet_originals",
    ),
    path(
        "packets/<int:pk>/check_packet.py",
        packet_files.packet_checker,
        name="packet_checker",
    ),
]
