"""Addresses of the drawer letters."""

from django.urls import path

from claims.views.letters import notices

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
    path("notices/<int:pk>/email/", notices.MailNotice.as_view(), name="mail_notice"),
]
