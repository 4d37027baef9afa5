"""The only settings module: laptop and server differ by environment variables alone, all listed in .env.example."""

import os
from pathlib import Path

import environ
from csp.constants import NONE, SELF

from config.env import BadSetting, env_bool, env_int, env_list, env_maildir, env_origin, env_secret, env_str, url_host
from config.logs import logging_settings
from config.sqlite import OpenedOrClosed

# The engine's tables are small: threads of the algebra library only wait for each other. Before numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
ROOT = Path(__file__).resolve().parent.parent
LAPTOP = env_bool("WALLFUL_DEBUG", default=True)  # a key that needs no setting, files without collecting, the demo
# The pages with the inside of the site are for who asks for them; everybody else sees our own error pages.
DEBUG = LAPTOP and env_bool("WALLFUL_DEBUG_PAGES", default=False)
DATA = Path(env_str("WALLFUL_DATA", str(ROOT / ".data")))
PUBLIC_URL = env_str("WALLFUL_PUBLIC_URL", "http://127.0.0.1:8000").rstrip("/")
HTTPS = PUBLIC_URL.startswith("https://")
# An https address is a public one: there the key that everybody can read in the source is refused, debug or not.
SECRET_KEY = env_secret("WALLFUL_SECRET_KEY", debug=LAPTOP and not HTTPS)
SECRET_KEY_FALLBACKS = env_list("WALLFUL_SECRET_KEY_FALLBACKS", default=[])
ALLOWED_HOSTS = [*env_list("WALLFUL_HOSTS", default=["127.0.0.1", "localhost", "[::1]"]), url_host(PUBLIC_URL)]
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL] if HTTPS else []

INSTALLED_APPS = [
    "campaign.apps.CampaignConfig",
    "fulfilment.apps.FulfilmentConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "axes",
    "csp",
    "crispy_forms",
    "crispy_bootstrap5",
]
MIDDLEWARE = [
    "config.logs.RequestLog",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "campaign.views.odd_cookies.DropOddCookies",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_otp.middleware.OTPMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "campaign.views.wrong_method.WrongMethodPage",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]
CRISPY_ALLOWED_TEMPLATE_PACKS = CRISPY_TEMPLATE_PACK = "bootstrap5"

# --- database: SQLite by default, PostgreSQL by address -----------------------------------------------------
DATABASE_URL = env_str("WALLFUL_DATABASE_URL")
if DATABASE_URL:
    DATABASES = {"default": environ.Env.db_url_config(DATABASE_URL)}
    if not str(DATABASES["default"]["ENGINE"]).endswith(("postgresql", "sqlite3")):
        raise BadSetting("WALLFUL_DATABASE_URL: only postgres://… and sqlite:///… are supported.")
else:
    DATA.mkdir(parents=True, exist_ok=True)  # SQLite makes the file, not the folder
    DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": str(DATA / "wallful.sqlite3")}}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # IMMEDIATE: writers queue at BEGIN instead of dying in mid-transaction. FULL: "recorded" survives a power cut.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "factory": OpenedOrClosed,
        "timeout": 60,  # s in the queue for the write lock; SQLite wakes waiters in no order, so the unlucky wait long
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA temp_store=MEMORY;"
        "PRAGMA mmap_size=134217728; PRAGMA journal_size_limit=27103364; PRAGMA cache_size=-20000;",
    }
    if env_bool("WALLFUL_TEST_DB_ON_DISK", default=False):
        DATABASES["default"]["TEST"] = {"NAME": str(DATA / "test.sqlite3")}
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 600
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

# --- people -------------------------------------------------------------------------------------------------
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "campaign:sign_in"
LOGIN_REDIRECT_URL = "campaign:studio"
LOGOUT_REDIRECT_URL = "campaign:sign_in"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.5  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_CLIENT_IP_CALLABLE = "campaign.views.limits.address_of"  # else a proxy's address, and anybody locks the artist out
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "429.html"
AXES_HTTP_RESPONSE_CODE = 429
AXES_VERBOSE = False

OTP_TOTP_ISSUER = "Wallful"

# Orders of one network (an IPv4 /24, an IPv6 /56) in an hour; a whole opening night may share one.
ORDERS_PER_HOUR = env_int("WALLFUL_ORDERS_PER_HOUR", default=60, at_least=1)

# How long each web process gives out a public page as it was rendered; 0: never. In tests, which do not go through
# config.wsgi, every page is fresh.
PAGE_SECONDS = env_int("WALLFUL_PAGE_SECONDS", default=1, at_least=0)

# --- cards: a processor's hosted page; without both secrets the way is not offered ----------------------------
CARD_SECRET_KEY = env_str("WALLFUL_CARD_SECRET_KEY")
CARD_WEBHOOK_SECRET = env_str("WALLFUL_CARD_WEBHOOK_SECRET")
CARD_API = env_str("WALLFUL_CARD_API").rstrip("/")
CARD_CHECKOUT = env_origin("WALLFUL_CARD_CHECKOUT", "https://checkout.stripe.com")
CARD_SECONDS: float = env_int("WALLFUL_CARD_SECONDS", default=8, at_least=1)

# --- what a browser may do ----------------------------------------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE], "script-src": [SELF], "style-src": [SELF], "img-src": [SELF, "data:"],
        "font-src": [SELF], "connect-src": [SELF], "base-uri": [NONE],
        "form-action": [SELF, *([CARD_CHECKOUT] if CARD_SECRET_KEY else [])],  # it governs redirects after a POST too
        "frame-ancestors": [NONE], "object-src": [NONE], "manifest-src": [SELF],
    }
}  # fmt: skip
SECURE_SSL_REDIRECT = HTTPS and env_bool("WALLFUL_SSL_REDIRECT", default=True)
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS and env_bool("WALLFUL_HSTS_PRELOAD", default=False)
SILENCED_SYSTEM_CHECKS = ["security.W021"]  # preloading binds every subdomain for years: only knowingly
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
BEHIND_PROXY = env_bool("WALLFUL_BEHIND_PROXY", default=False)  # only where it replaces X-Forwarded-* from outside
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_NAME = "__Host-sessionid" if HTTPS else "sessionid"
CSRF_COOKIE_NAME = "__Host-csrftoken" if HTTPS else "csrftoken"
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 8 * 3600
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5_000  # 200 rows of blocked areas, or a whole edition ticked as printed

# --- files served -------------------------------------------------------------------------------------------
STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = LAPTOP
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if LAPTOP
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

# --- language and time --------------------------------------------------------------------------------------
LANGUAGE_CODE = "en"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

# --- mail ---------------------------------------------------------------------------------------------------
EMAIL_HOST = env_str("WALLFUL_SMTP_HOST")
EMAIL_PORT = env_int("WALLFUL_SMTP_PORT", default=587, at_least=1)
EMAIL_HOST_USER = env_str("WALLFUL_SMTP_USER")
EMAIL_HOST_PASSWORD = env_str("WALLFUL_SMTP_PASSWORD")
EMAIL_USE_TLS = env_bool("WALLFUL_SMTP_TLS", default=True)
EMAIL_TIMEOUT = 20
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend" if EMAIL_HOST else "django.core.mail.backends.filebased.EmailBackend"
)
EMAIL_FILE_PATH = str(DATA / "mail")  # without a mail server mails become files here; the studio shows each of them
DEFAULT_FROM_EMAIL = env_str("WALLFUL_MAIL_FROM", "studio@wallful.example")
BOUNCES = env_maildir("WALLFUL_BOUNCES")  # mail that comes back, read by the sweep; reports go to the sender above

# --- jobs: the database is the queue, Celery is the muscle (choices.md §1g, §2) ------------------------------
WORKER_APPLICATION = "config.celery.app"
CELERY_BROKER_URL = env_str("WALLFUL_REDIS_URL", "memory://localhost/")
if CELERY_BROKER_URL.startswith("memory"):
    CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {"polling_interval": 0.05}
else:
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "visibility_timeout": 300, "unacked_restore_interval": 5, "unacked_restore_throttle": 1,
        "socket_timeout": 5, "socket_connect_timeout": 2, "health_check_interval": 25,
    }  # fmt: skip
CELERY_VISIBILITY_TIMEOUT = 300
CELERY_RESULT_BACKEND = None
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = 10
CELERY_WORKER_ENABLE_SOFT_SHUTDOWN_ON_IDLE = True
CELERY_WORKER_MAX_TASKS_PER_CHILD = 200
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_WORKER_REDIRECT_STDOUTS = False
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TASK_TIME_LIMIT = 240
CELERY_TASK_SOFT_TIME_LIMIT = 200
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULER = "celery.beat:Scheduler"  # no schedule file: the truth is in the database
CELERY_BEAT_SCHEDULE = {
    "sweep": {"task": "campaign.sweep", "schedule": 2.0},
    "sweep-staircases": {"task": "campaign.rebuild", "schedule": 2.0},
    "sweep-cards": {"task": "campaign.cards", "schedule": 2.0},
    "sweep-papers": {"task": "fulfilment.sweep", "schedule": 2.0},
    "verify": {"task": "fulfilment.verify", "schedule": 300.0},  # does it once an hour
    "forget-old": {"task": "fulfilment.forget_old", "schedule": 3600.0},
}

# --- watching over it ---------------------------------------------------------------------------------------
METRICS_TOKEN = env_str("WALLFUL_METRICS_TOKEN")  # without one there is no /metrics
LOGGING = logging_settings(
    level=env_str("WALLFUL_LOG_LEVEL", "INFO"), as_json=env_bool("WALLFUL_LOG_JSON", default=not LAPTOP)
)
