"""Addresses of the drawer claim."""

from django.urls import path

from claims.views.claim import decisions, desk, lines, making, page, steps, supplements

urlpatterns = [
    path("claims/", desk.claims, name="claims"),
    path("claims/<int:pk>/", page.claim, name="claim"),
    path("shipments/<int:pk>/claim/", making.MakeClaim.as_view(), name="make_claim"),
    path(
        "claims/<int:pk>/supplement/",
        making.SupplementClaim.as_view(),
        name="supplement_claim",
    ),
    path("lines/<int:pk>/adjust/", lines.AdjustLine.as_view(), name="adjust_line"),
    path("lines/<int:pk>/strike/", lines.StrikeLine.as_view(), name="strike_line"),
    path(
        "lines/<int:pk>/estimate/", lines.TakeEstimate.as_view(), name="take_estimate"
    ),
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
        decisions.DecidePaper.as_view(),
        name="decide_paper",
    ),
    path(
        "deadlines/<int:pk>/override/",
        decisions.OverrideDeadline.as_view(),
        name="override_deadline",
    ),
]
