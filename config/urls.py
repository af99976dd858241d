"""Every address of the app."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path

from config import health, monitor, phone
from config.sign_in import SignInView

_accounts = [
    path("login/", SignInView.as_view(), name="login"),
    path("logout/", auth_views.LogoutView.as_view(), name="logout"),
    path(
        "password_change/",
        auth_views.PasswordChangeView.as_view(),
        name="password_change",
    ),
    path(
        "password_change/done/",
        auth_views.PasswordChangeDoneView.as_view(),
        name="password_change_done",
    ),
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
    path("admin/", admin.site.urls),
    path("", include("claims.urls")),
    path("", include("inventory.urls")),
]

handler400 = "django.views.defaults.bad_request"
handler403 = "django.views.defaults.permission_denied"
handler404 = "django.views.defaults.page_not_found"
handler500 = "config.errors.server_error"
