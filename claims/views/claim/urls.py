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
    path("claims/<int:pk>/send/", steps.SendClaim.as_view(), name="send_claim"),
    path(
        "claims/<int:pk>/received/",
        steps.RecordReceipt.as_view(),
        name="record_receipt",
    ),
    path(
        "claims/<int:pk>/acknowledged/",
        steps.RecordAcknowledgement.as_view(),
        name="record_acknowledgement",
    ),
    path("claims/<int:pk>/offer/", steps.RecordOffer.as_view(), name="record_offer"),
    path(
        "claims/<int:pk>/disallowed/",
        steps.RecordDisallowance.as_view(),
        name="record_disallowance",
    ),
    path(
        "claims/<int:pk>/settled/",
        steps.RecordSettlement.as_view(),
        name="record_settlement",
    ),
    path(
        "claims/<int:pk>/withdraw/",
        steps.WithdrawClaim.as_view(),
        name="withdraw_claim",
    ),
    path(
        "supplements/<int:pk>/send/",
        supplements.SendSupplement.as_view(),
        name="send_supplement",
    ),
    path(
        "supplements/<int:pk>/received/",
        supplements.ReceiveSupplement.as_view(),
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
