"""Addresses: mail that leaves the company."""

from django.urls import path

from inventory.views.mail import outbox

urlpatterns = [
    path("outbox/", outbox.outbox, name="outbox"),
    path("outbox/<int:pk>/", outbox.mail, name="mail"),
    path("outbox/<int:pk>/mail.eml", outbox.mail_file, name="mail_file"),
    path(
        "outbox/<int:pk>/call-off/", outbox.CallOffMail.as_view(), name="call_off_mail"
    ),
    path(
        "outbox/<int:pk>/came-back/",
        outbox.MailCameBack.as_view(),
        name="mail_came_back",
    ),
    path(
        "outbox/<int:pk>/again/", outbox.SendMailAgain.as_view(), name="send_mail_again"
    ),
]
