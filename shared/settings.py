"""Settings, read once from the environment; each default runs on one machine, nothing installed.

shared/environment.py refuses what cannot be meant, shared/checks.py says at start what is unsafe.
README.md lists the variables.
"""

import os
import secrets
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from urllib.parse import urlsplit

from csp.constants import NONE, SELF

from shared import environment
from shared.length import System

env = environment.env
BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = environment.folder("VAR_DIR", BASE_DIR / "var")


def kept_secret() -> str:
    """Return the secret of this installation, made at its first start and kept in var/.

    The file appears with its whole content: several processes may start at once.
    """
    path = VAR_DIR / "secret_key"
    if not path.exists():
        with NamedTemporaryFile("w", dir=VAR_DIR) as file, suppress(FileExistsError):
            file.write(secrets.token_urlsafe(64))
            file.flush()
            os.link(file.name, path)
    return path.read_text()


DEBUG = environment.yes_or_no("DEBUG", False)
HOST = env.str("HOST", "127.0.0.1")
PORT = environment.whole("PORT", 8000, least=1, most=65_535)
WEB_WORKERS = environment.whole("WEB_WORKERS", 2, least=1)
TASK_WORKERS = environment.whole("TASK_WORKERS", 1, least=1)
BASE_URL = environment.address(
    "BASE_URL", f"http://127.0.0.1:{PORT}", schemes=("http", "https")
).rstrip("/")
BASE_HOST = urlsplit(BASE_URL).hostname or ""
LOCAL = BASE_HOST in {"localhost", "127.0.0.1", "::1"}
HTTPS = BASE_URL.startswith("https://")
SECRET_KEY = env.str("SECRET_KEY", "") or kept_secret()
SECRET_KEY_GIVEN = bool(env.str("SECRET_KEY", ""))
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = [BASE_URL]

# The firm: what stands on its papers and how it counts.
FIRM_NAME = env.str("FIRM_NAME", "Dry Creek Barrier Co.")
FIRM_ADDRESS = env.str("FIRM_ADDRESS", "12 Depot Road, Mesquite Flat, AZ 85000")
FIRM_PHONE = env.str("FIRM_PHONE", "+16025550100")
FIRM_EMAIL = env.str("FIRM_EMAIL", "office@example.com")
FIRM_CURRENCY = environment.currency("FIRM_CURRENCY", "USD")
FIRM_UNITS: System = environment.units("FIRM_UNITS", "imperial")
FIRM_COUNTRY = environment.country("FIRM_COUNTRY", "US")
# By the country where it is empty.
FIRM_ENVELOPE = environment.one_of("FIRM_ENVELOPE", "", ("", "us10", "din-b"))
DEMO = environment.yes_or_no("DEMO", LOCAL)  # an invented firm fills an empty installation
FIRM_KEEPS_PHOTO_PLACE = environment.yes_or_no("FIRM_KEEPS_PHOTO_PLACE", False)

# 15 USC 2304(a)(4): "a reasonable number of attempts", which the law does not count.
FULL_WARRANTY_ATTEMPTS = environment.whole("FULL_WARRANTY_ATTEMPTS", 3, least=1, most=20)

# Notices: the chance of touching by which a plant counts as due, how many days ahead a household
# hears of it, whether on Sundays too.
CONTACT_CHANCE = environment.chance("CONTACT_CHANCE", 0.1)
NOTICE_LEADS = environment.days_ahead("NOTICE_LEADS", [42, 21, 7])
NOTICE_UNSEEN_DAYS = env.int("NOTICE_UNSEEN_DAYS", 5)
NOTICE_SEASON = env.str("NOTICE_SEASON", "02-01")  # month-day on which plants begin to grow
NOTICE_SUNDAYS = environment.yes_or_no("NOTICE_SUNDAYS", True)

INSTALLED_APPS = [
    "shared",
    "customers",
    "jobs",
    "warranties",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "axes",
    "csp",
    "django_filters",
    "django_htmx",
    "django_tables2",
    "phonenumber_field",
    "simple_history",
]

MIDDLEWARE = [
    "shared.middleware.NoNullCharacters",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shared.middleware.OwnLanguage",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "shared.middleware.PrivatePages",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shared.urls"
WSGI_APPLICATION = "shared.wsgi.application"
AUTH_USER_MODEL = "shared.User"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

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
                "shared.context.firm",
            ],
            "builtins": ["django.templatetags.i18n", "django.templatetags.static"],
        },
    }
]

# IMMEDIATE and a long timeout: a read that turns into a write would fail at once under WAL.
# The map is as large as SQLite lets it be: what lies beyond it is read call by call, which planning
# the notices of more than some hundred thousand homes feels.
SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL;PRAGMA synchronous=NORMAL;PRAGMA journal_size_limit=27103364;"
        "PRAGMA mmap_size=2147418112;PRAGMA cache_size=-20000;"
    ),
}
DATABASES = {
    "default": environment.database("DATABASE_URL", f"sqlite:///{VAR_DIR / 'ringkeep.sqlite3'}")
}
DATABASES["default"]["CONN_MAX_AGE"] = None
DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS

# Background work. The broker may be thrown away at any time: what is due stands in our tables.
REDIS_URL = environment.address("REDIS_URL", "", schemes=("redis", "rediss"))
CELERY_BROKER_URL = REDIS_URL or env.str(
    "EMBEDDED_BROKER_URL", f"redis+socket://{VAR_DIR / 'broker.sock'}"
)
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    # A page does not wait for a broker that is away: the sweep finds what is due.
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0.1,
    "interval_max": 0.1,
}
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(VAR_DIR / "celerybeat-schedule")
CELERY_BEAT_SCHEDULE = {
    # Workers that come back after a week need not catch up on a week of sweeps.
    "plan notices": {
        "task": "warranties.tasks.plan_due_notices",
        "schedule": 300.0,
        "options": {"expires": 300},
    },
    "read bounces": {"task": "warranties.tasks.read_bounces", "schedule": 300.0},
    "send due notices": {
        "task": "warranties.tasks.send_due_notices",
        "schedule": 60.0,
        "options": {"expires": 60},
    },
    "count seals": {"task": "warranties.tasks.count_seals", "schedule": 6 * 3600.0},
    "print certificates": {
        "task": "warranties.tasks.print_waiting_certificates",
        "schedule": 120.0,
    },
    "print agreements": {"task": "jobs.tasks.print_agreements", "schedule": 60.0},
}

# What the processes share for a while: counts of bad links, slow lists. It may be thrown away.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": VAR_DIR / "cache",
        "OPTIONS": {"MAX_ENTRIES": 5_000},
    }
}
if REDIS_URL:
    CACHES["default"] = {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": REDIS_URL,
    }

# Mail: kept as .eml in var/outbox until EMAIL_URL names a server.
OUTBOX_DIR = VAR_DIR / "outbox"
EMAIL_BACKEND = "shared.outbox.OutboxBackend"
vars().update(environment.mail_server("EMAIL_URL"))
DEFAULT_FROM_EMAIL = f"{FIRM_NAME} <{FIRM_EMAIL}>"
SERVER_EMAIL = FIRM_EMAIL
# Where mails come back to, and the mailbox in which they are found (warranties/notices/mailbox.py).
BOUNCE_ADDRESS = env.str("BOUNCE_ADDRESS", FIRM_EMAIL)
BOUNCES_URL = env.str("BOUNCES_URL", "")
EMAIL_TIMEOUT = environment.whole("EMAIL_TIMEOUT", 20, least=1, most=300)

# Texts: kept in var/texts until a gateway is named (warranties/notices/texting.py).
TEXTS_DIR = VAR_DIR / "texts"
TEXT_GATEWAY_URL = environment.address("TEXT_GATEWAY_URL", "", schemes=("http", "https"))
TEXT_GATEWAY_TOKEN = env.str("TEXT_GATEWAY_TOKEN", "")
TEXT_WEBHOOK_SECRET = env.str("TEXT_WEBHOOK_SECRET", "")  # Without it no text comes in.

# Our signature under certificates: a key made at the first need, or the firm's own as PKCS#12.
KEYS_DIR = VAR_DIR / "keys"
SIGNING_P12 = env.str("SIGNING_P12", "")
SIGNING_P12_PASSWORD = env.str("SIGNING_P12_PASSWORD", "")
# Or in a token: the PKCS#11 module's file, the labels of token and key, and its PIN.
SIGNING_PKCS11_MODULE = env.str("SIGNING_PKCS11_MODULE", "")
SIGNING_PKCS11_TOKEN = env.str("SIGNING_PKCS11_TOKEN", "")
SIGNING_PKCS11_KEY = env.str("SIGNING_PKCS11_KEY", "")
SIGNING_PKCS11_PIN = env.str("SIGNING_PKCS11_PIN", "")
# An authority that confirms the moment of each signature (RFC 3161); none where it is empty.
TSA_URL = environment.address("TSA_URL", "", schemes=("http", "https"))

# Sign-in.
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "shared.signin.StaffBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_LOGIN_METHODS = {"username", "email"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "email*", "password1*", "password2*"]
ACCOUNT_ADAPTER = "shared.signin.StaffAdapter"
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_PREVENT_ENUMERATION = True
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = LOCAL
MFA_TOTP_ISSUER = FIRM_NAME
# How many proxies of ours stand before the web server: whose word on the sender's address we take.
ALLAUTH_TRUSTED_PROXY_COUNT = environment.whole("PROXIES", 0)
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = 1
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_CALLABLE = "shared.signin.name_tried"
AXES_CLIENT_IP_CALLABLE = "shared.signin.client_ip"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
AXES_LOCKOUT_TEMPLATE = "429.html"

# Cookies, transport, content.
SESSION_COOKIE_NAME = "__Host-ringkeep" if HTTPS else "ringkeep"
SESSION_COOKIE_AGE = 60 * 60 * 12
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
CSRF_COOKIE_HTTPONLY = True
SECURE_SSL_REDIRECT = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_621_440
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000
DATA_UPLOAD_MAX_NUMBER_FILES = 20
PHOTO_MAX_BYTES = 20 * 1024 * 1024
PHOTO_MAX_PIXELS = 60_000_000
IMPORT_MAX_BYTES = 64 * 1024 * 1024

# Words, time, files.
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "shared" / "locale"]
TIME_ZONE = environment.time_zone("FIRM_TIME_ZONE", "America/Phoenix")
USE_TZ = True
USE_I18N = True
FORMAT_MODULE_PATH = ["shared.formats"]
PHONENUMBER_DEFAULT_REGION = FIRM_COUNTRY
PHONENUMBER_DB_FORMAT = PHONENUMBER_DEFAULT_FORMAT = "E164"
DJANGO_TABLES2_TEMPLATE = "shared/table.html"
FORM_RENDERER = "shared.forms.FormRenderer"
STATIC_URL = "/static/"
STATIC_ROOT = VAR_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
MEDIA_ROOT = VAR_DIR / "media"
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"file_permissions_mode": 0o600, "directory_permissions_mode": 0o700},
    },
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage",
    },
}

LOG_LEVEL = environment.one_of(
    "LOG_LEVEL", "WARNING", ("DEBUG", "INFO", "WARNING", "ERROR", "CRITICAL")
)
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "shared.masking.MaskingFormatter",
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
        }
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": LOG_LEVEL},
}
