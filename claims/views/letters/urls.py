"""Addresses of the drawer letters."""

from django.urls import path

from claims.views.letters import claim_letters, mailing, notices, writing

urlpatterns = [
    path(
        "shipments/<int:pk>/notices/new/<slug:kind>/",
        notices.WriteNotice.as_view(),
        name="write_notice",
    ),
    path("notices/<int:pk>/", notices.notice, name="notice"),
    path("notices/<int:pk>/letter.pdf", notices.notice_letter, name="notice_letter"),
    path(
        "notices/<int:pk>/letter/again/",
        notices.RenewLetter.as_view(),
        name="renew_notice_letter",
    ),
    path("notices/<int:pk>/send/", notices.SendNotice.as_view(), name="send_notice"),
    path(
        "notices/<int:pk>/received/",
        notices.ReceiveNotice.as_view(),
        name="receive_notice",
    ),
    path("notices/<int:pk>/email/", mailing.MailNotice.as_view(), name="mail_notice"),
    path("claims/<int:pk>/letters/", claim_letters.claim_letters, name="claim_letters"),
    path(
        "claims/<int:pk>/letters/<slug:letter>/",
        writing.write_claim_letter,
        name="write_claim_letter",
    ),
    path(
        "claims/<int:pk>/letters/<slug:letter>/draft.pdf",
        writing.claim_letter_draft,
        name="claim_letter_draft",
    ),
    path("letters/<int:pk>/", claim_letters.claim_letter, name="claim_letter"),
    path(
        "letters/<int:pk>/letter.pdf",
        claim_letters.claim_letter_pdf,
        name="claim_letter_pdf",
    ),
    path(
        "letters/<int:pk>/send/",
        claim_letters.SendLetter.as_view(),
        name="send_claim_letter",
    ),
    path(
        "letters/<int:pk>/email/",
        mailing.MailLetter.as_view(),
        name="mail_claim_letter",
    ),
    path(
        "letters/<int:pk>/received/",
        claim_letters.ReceiveLetter.as_view(),
        name="receive_claim_letter",
    ),
    path(
        "letters/<int:pk>/drop/",
        claim_letters.DropLetter.as_view(),
        name="drop_claim_letter",
    ),
]
