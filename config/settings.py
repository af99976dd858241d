"""Every setting, read from the environment; none of them needs to be there.

With no environment at all the app serves this machine alone: debug is off, only
loopback hosts are answered, the key is made once and kept in ``.data/``.
"""

from pathlib import Path

import environ
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from config.databases import database_from
from config.secret_key import kept_secret_key

env = environ.Env()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.str("DOCK_DATA_DIR", default=str(BASE_DIR / ".data"))).resolve()
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
EVIDENCE_ROOT = DATA_DIR / "originals"
RENDITION_ROOT = DATA_DIR / "renditions"
PACKET_ROOT = DATA_DIR / "packets"
# Requests wait here while they arrive, and files above 2.5 MB where a bucket is the home
# of originals; what a cut one leaves is swept.
FILE_UPLOAD_TEMP_DIR = DATA_DIR / "spool"
FILE_UPLOAD_TEMP_DIR.mkdir(mode=0o700, exist_ok=True)

# Who may be answered, and what follows from it.
LOOPBACK_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
DEBUG = env.bool("DEBUG", default=False)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=LOOPBACK_HOSTS) or LOOPBACK_HOSTS
SERVED_TO_OTHERS = not set(ALLOWED_HOSTS) <= {*LOOPBACK_HOSTS, "::1"}
DEMO_ALLOWED = not SERVED_TO_OTHERS

# Whose X-Forwarded-For is believed: addresses, networks, and "unix" for a socket of
# this machine. By default a proxy on this machine.
TRUSTED_PROXIES = env.list("TRUSTED_PROXIES", default=["127.0.0.0/8", "::1", "unix"])

SECRET_KEY = env.str("SECRET_KEY", default="")
if SERVED_TO_OTHERS and not SECRET_KEY:
    raise ImproperlyConfigured(
        "ALLOWED_HOSTS names a host that other machines can reach, so SECRET_KEY "
        "must be set: at least 50 random characters, kept out of the source."
    )
if SERVED_TO_OTHERS and DEBUG:
    raise ImproperlyConfigured(
        "DEBUG shows the program's internals. It must be off while ALLOWED_HOSTS "
        "names a host that other machines can reach."
    )
SECRET_KEY = SECRET_KEY or kept_secret_key(DATA_DIR / "secret_key")
# Former keys: sessions that they signed still hold. Take one out after a long shift.
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", default=[])

INSTALLED_APPS = [
    "config",
    "inventory",
    "claims",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "crispy_forms",
    "csp",
]

MIDDLEWARE = [
    "config.middleware.UnavailableMiddleware",
    "config.middleware.ClearTextMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "config.middleware.HeadersMiddleware",
    "config.security.SecurityMiddleware",
    "config.phone.PhoneMiddleware",
    "config.static_files.StaticFilesMiddleware",
    "config.middleware.BodyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.middleware.SignedInMiddleware",
    "config.limits.LimitsMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
DATABASES = {
    "default": database_from(
        env.str("DATABASE_URL", default=""),
        default_path=DATA_DIR / "db.sqlite3",
        # Set by the server, not for commands: a backup may take its time.
        statement_seconds=env.int("STATEMENT_SECONDS", default=0),
    )
}

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "claims.nav.nav",
                "claims.phone.phone",
            ],
        },
    },
]
CRISPY_ALLOWED_TEMPLATE_PACKS = ("dock",)
CRISPY_TEMPLATE_PACK = "dock"

# People and sign-in.
AUTH_USER_MODEL = "inventory.User"
_VALIDATORS = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_VALIDATORS}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_VALIDATORS}.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "config.passwords.LongestPassword"},
    {"NAME": "config.passwords.Guessed"},
    {"NAME": "config.passwords.Former"},
    {"NAME": f"{_VALIDATORS}.NumericPasswordValidator"},
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "login"
# Whether administrators and managers must have two-step sign-in.
SECOND_STEP_REQUIRED = env.bool("SECOND_STEP_REQUIRED", default=False)
# How long a password just shown counts for acts that ask for it again; 0 never asks.
PROOF_MINUTES = env.int("PROOF_MINUTES", default=30)
PASSWORD_RESET_TIMEOUT = 60 * 60  # seconds that a one-time link works
# By kind of role: minutes without a page before the password is asked again, hours after
# which a sign-in ends. The office: administrators, managers, accounting. A phone at the
# dock lies idle for half a shift.
SESSION_LIMITS = {
    "office": (
        env.int("OFFICE_IDLE_MINUTES", default=60),
        env.int("OFFICE_SESSION_HOURS", default=12),
    ),
    "dock": (
        env.int("DOCK_IDLE_MINUTES", default=360),
        env.int("DOCK_SESSION_HOURS", default=12),
    ),
}
SESSION_COOKIE_AGE = 12 * 60 * 60  # of a session that nobody signed in to

# Over a network only HTTPS; on this machine alone plain HTTP must work.
SECURE_SSL_REDIRECT = SERVED_TO_OTHERS
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
SECURE_HSTS_SECONDS = 365 * 24 * 60 * 60 if SERVED_TO_OTHERS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SERVED_TO_OTHERS
SECURE_HSTS_PRELOAD = SERVED_TO_OTHERS
SESSION_COOKIE_SECURE = SERVED_TO_OTHERS
CSRF_COOKIE_SECURE = SERVED_TO_OTHERS
_COOKIE_PREFIX = "__Host-" if SERVED_TO_OTHERS else ""
SESSION_COOKIE_NAME = f"{_COOKIE_PREFIX}sessionid"
CSRF_COOKIE_NAME = f"{_COOKIE_PREFIX}csrftoken"
DEVICE_COOKIE_NAME = f"{_COOKIE_PREFIX}device"
DOCK_COOKIE_NAME = f"{_COOKIE_PREFIX}dock_phone"
CSRF_FAILURE_VIEW = "config.errors.csrf_failure"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}

# Where original bytes live: "folder", or "s3://bucket/prefix". A bucket's endpoint,
# region and keys come from the usual AWS_ names, read by boto3 itself.
EVIDENCE_HOME = env.str("EVIDENCE_HOME", default="") or "folder"
# Where the bucket offers object lock: days for which nobody may remove an original.
EVIDENCE_LOCK_DAYS = env.int("EVIDENCE_LOCK_DAYS", default=0)
EVIDENCE_LOCK_MODE = env.str("EVIDENCE_LOCK_MODE", default="GOVERNANCE")

# How much one request may carry; text fields are bounded apart from files.
EVIDENCE_LIMIT = 25_000_000  # bytes of one photo or document
MAX_REQUEST_BYTES = 100 * 1024 * 1024
# A file above 2.5 MB is written once, where the originals are.
FILE_UPLOAD_HANDLERS = [
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "inventory.evidence.store.arriving.ArrivingFileHandler",
]
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 1000
DATA_UPLOAD_MAX_NUMBER_FILES = 20

# How often one person may do it in ten minutes, and one address ten times as often;
# 0 is no limit. A dock's busiest hour stays far below.
LIMITS = {
    "uploads": env.int("LIMIT_UPLOADS", default=3000),
    "exports": env.int("LIMIT_EXPORTS", default=300),
    "searches": env.int("LIMIT_SEARCHES", default=1000),
    "packets": env.int("LIMIT_PACKETS", default=60),
}

# Less free room than this and /readyz answers 503.
MIN_FREE_BYTES = env.int("MIN_FREE_BYTES", default=500_000_000)
# What a monitor must send to read /metrics; without one there is no such page.
METRICS_TOKEN = env.str("METRICS_TOKEN", default="")
# mailto: or https: address for whoever finds a weakness, told in security.txt.
SECURITY_CONTACT = env.str("SECURITY_CONTACT", default="")

# Where size and root of the event tree are published, outside this machine.
ROOT_BOOK = env.str("ROOT_BOOK", default="")
# The private key that signs checkpoints of the tree: a file outside DATA_DIR.
CHECKPOINT_KEY = env.str("CHECKPOINT_KEY", default="")
# Public keys of age (https://age-encryption.org), separated by commas: backups are locked
# for whoever has one of the private keys. Keep those off this machine.
BACKUP_KEY = env.list("BACKUP_KEY", default=[])
# How many days, weeks and months keep their last copy of the database in a backup.
BACKUP_KEEP = env.list("BACKUP_KEEP", cast=int, default=[7, 5, 12])
if len(BACKUP_KEEP) != 3 or min(BACKUP_KEEP) < 0:
    raise ImproperlyConfigured(
        "BACKUP_KEEP takes three numbers: days, weeks and months, such as 7,5,12."
    )
ROOT_MAIL_TO = env.list("ROOT_MAIL_TO", default=[])
EMAIL_HOST = env.str("EMAIL_HOST", default="")
EMAIL_PORT = env.int("EMAIL_PORT", default=587)
EMAIL_HOST_USER = env.str("EMAIL_HOST_USER", default="")
EMAIL_HOST_PASSWORD = env.str("EMAIL_HOST_PASSWORD", default="")
EMAIL_USE_TLS = env.bool("EMAIL_USE_TLS", default=True)
EMAIL_TIMEOUT = env.int("EMAIL_TIMEOUT", default=20)  # seconds
DEFAULT_FROM_EMAIL = env.str("EMAIL_FROM", default="dock@localhost")
EMAIL_REPLY_TO = env.str("EMAIL_REPLY_TO", default="")
# Without a mail server each mail lands as a file in this folder and goes nowhere.
MAIL_FOLDER = DATA_DIR / "mail"
if not EMAIL_HOST:
    EMAIL_BACKEND = "config.mail_folder.MailFolder"
# Completes the identifiers of calendar entries; never change it once it is used.
CALENDAR_HOST = env.str("CALENDAR_HOST", default="tarefold.example")
# Seconds that a page waits for a PDF; then it says how far it is.
DRAWN_WITHIN = env.float("PDF_WAIT_SECONDS", default=1.0)
# Longer than any sending takes: after it another worker may send the same mail.
MAIL_LEASE_SECONDS = env.int("MAIL_LEASE_SECONDS", default=600)

STATIC_URL = "static/"
# Collected by the server and the tests themselves, where a file has changed. A name
# holds the hash of the bytes, so an upgrade never mixes old and new. No other name is
# served: what needs a fixed address, such as a service worker, gets a view at the root.
STATIC_HOME = Path(
    env.str("DOCK_STATIC_DIR", default=str(BASE_DIR / "staticfiles"))
).resolve()
STATIC_ROOT = STATIC_HOME / "files"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "config.static_files.HashedFiles"},
}
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_AUTOREFRESH = DEBUG
WHITENOISE_KEEP_ONLY_HASHED_FILES = True
WHITENOISE_MAX_AGE = 60
WHITENOISE_ALLOW_ALL_ORIGINS = False

LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_TZ = True

# Lines of JSON: who did what from where. "-" is standard error, for a journal.
SECURITY_LOG = env.str("SECURITY_LOG", default=str(DATA_DIR / "security.log"))
_SECURITY_HANDLER = (
    {"class": "logging.StreamHandler"}
    if SECURITY_LOG == "-"
    else {
        "class": "inventory.security_log.PrivateLines",
        "filename": SECURITY_LOG,
        "delay": True,
    }
)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"},
        "json": {"()": "inventory.security_log.JsonLines"},
    },
    "filters": {"no_refusals": {"()": "inventory.security_log.NoRefusals"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "plain"},
        "security": {**_SECURITY_HANDLER, "formatter": "json"},
    },
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        # Django adds its own handlers to these two; ours alone is enough.
        "django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False},
        # A refusal is one line of the security log, not a traceback.
        "django.request": {"filters": ["no_refusals"]},
        "security": {"handlers": ["security"], "level": "INFO", "propagate": False},
        "django.server": {"handlers": ["stderr"], "level": "INFO", "propagate": False},
    },
}
