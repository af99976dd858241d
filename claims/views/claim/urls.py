"""Addresses of the drawer claim."""

from django.urls import path

from claims.views.claim import decisions, desk, making, page, steps, supplements

urlpatterns = [
    path("claims/", desk.claims, name="claims"),
    path("claims/<int:pk>/", page.claim, name="claim"),
    path("shipments/<int:pk>/claim/", making.make_claim, name="make_claim"),
    path(
        "claims/<int:pk>/supplement/", making.supplement_claim, name="supplement_claim"
    ),
    path("lines/<int:pk>/adjust/", making.adjust_line, name="adjust_line"),
    path("lines/<int:pk>/strike/", making.strike_line, name="strike_line"),
    path("claims/<int:pk>/send/", steps.send_claim, name="send_claim"),
    path("claims/<int:pk>/received/", steps.record_receipt, name="record_receipt"),
    path(
        "claims/<int:pk>/acknowledged/",
        steps.record_acknowledgement,
        name="record_acknowledgement",
    ),
    path("claims/<int:pk>/offer/", steps.record_offer, name="record_offer"),
    path(
        "claims/<int:pk>/disallowed/",
        steps.record_disallowance,
        name="record_disallowance",
    ),
    path("claims/<int:pk>/settled/", steps.record_settlement, name="record_settlement"),
    path("claims/<int:pk>/withdraw/", steps.withdraw_claim, name="withdraw_claim"),
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
    path(
        "claims/<int:pk>/papers/<slug:paper>/",
        decisions.decide_paper,
        name="decide_paper",
    ),
    path(
        "deadlines/<int:pk>/override/",
        decisions.override_deadline,
        name="override_deadline",
    ),
    path("claims/<int:pk>/packet/", page.build_packet, name="build_packet"),
    path("packets/<int:pk>/packet.pdf", page.packet, name="packet"),
]
