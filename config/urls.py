"""Every address of the app."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.urls import include, path
from django.views.generic import RedirectView

from config import health, monitor, passkeys, phone, pin, second_step
from config.own_password import ChangeOwnPassword
from config.password_link import SetPassword
from config.sign_in import CodeView, SignInView

_accounts = [
    path("login/", SignInView.as_view(), name="login"),
    path("logout/", auth_views.LogoutView.as_view(), name="logout"),
    path(
        "password_change/",
        ChangeOwnPassword.as_view(),
        name="password_change",
    ),
    path(
        "password_change/done/",
        auth_views.PasswordChangeDoneView.as_view(),
        name="password_change_done",
    ),
    path("code/", CodeView.as_view(), name="sign_in_code"),
    path("", second_step.own_sign_in, name="own_sign_in"),
    path("second-step/", second_step.AddSecondStep.as_view(), name="add_second_step"),
    path("second-step/codes/", second_step.renew_codes, name="renew_codes"),
    path(
        "second-step/off/",
        second_step.remove_own_second_step,
        name="remove_own_second_step",
    ),
    path("dock/", pin.PinView.as_view(), name="pin_sign_in"),
    path("passkeys/new/", passkeys.AddPasskey.as_view(), name="add_passkey"),
    path("passkeys/remove/", passkeys.remove_passkey, name="remove_passkey"),
    path("passkeys/options/", passkeys.passkey_options, name="passkey_options"),
    path("passkeys/in/", passkeys.passkey_sign_in, name="passkey_sign_in"),
    path("pin/", pin.SetPin.as_view(), name="set_pin"),
    path("pin/off/", pin.remove_pin, name="remove_pin"),
    path("sign-out-there/", second_step.sign_out_there, name="sign_out_there"),
    path("link/<uidb64>/<token>/", SetPassword.as_view(), name="password_link"),
]

urlpatterns = [
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("metrics", monitor.metrics, name="metrics"),
    path(".well-known/security.txt", monitor.security_txt, name="security_txt"),
    path("sw.js", phone.worker, name="worker"),
    path("app.webmanifest", phone.manifest, name="manifest"),
    path("favicon.ico", phone.icon, name="icon"),
    path("offline/", phone.offline, name="offline"),
    path("accounts/", include(_accounts)),
    # The tables' window has doors of its own, which would know no second step.
    path(
        "admin/login/",
        login_not_required(
            RedirectView.as_view(pattern_name="login", query_string=True)
        ),
    ),
    path(
        "admin/password_change/", RedirectView.as_view(pattern_name="password_change")
    ),
    path("admin/", admin.site.urls),
    path("", include("claims.urls")),
    path("", include("inventory.urls")),
]

handler400 = "django.views.defaults.bad_request"
handler403 = "django.views.defaults.permission_denied"
handler404 = "django.views.defaults.page_not_found"
handler500 = "config.errors.server_error"
