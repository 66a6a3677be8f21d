"""What the project is made of: apps, middleware, templates, security, the shop's own figures."""

import os
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent.parent


def _flag(name: str, default: bool) -> bool:
    return os.environ.get(name, "yes" if default else "no").strip().lower() in {"1", "yes", "true", "on"}


_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def _weekdays(named: str) -> frozenset[int]:
    days = named.lower().replace(",", " ").split()
    if not days or set(days) - set(_WEEKDAYS):
        raise ImproperlyConfigured(
            f"SHIMWRIGHT_WORK_DAYS is {named!r}: name at least one of {' '.join(_WEEKDAYS)}."
        )
    return frozenset(map(_WEEKDAYS.index, days))


DEBUG = _flag("SHIMWRIGHT_DEBUG", False)

SECRET_KEY = os.environ.get("SHIMWRIGHT_SECRET_KEY", "")
if not SECRET_KEY:
    if os.environ.get("DATABASE_URL"):
        raise ImproperlyConfigured(
            "Set SHIMWRIGHT_SECRET_KEY to a long random text: a served shop must not run on the demo key."
        )
    SECRET_KEY = "embedded-demo-key-not-for-a-served-shop"  # refused above when served

ALLOWED_HOSTS = os.environ.get("SHIMWRIGHT_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [origin for origin in os.environ.get("SHIMWRIGHT_ORIGINS", "").split(",") if origin]

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_filters",
    "django_htmx",
    "rest_framework",
    "rest_framework.authtoken",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "inventory",
    "kits",
    "shop",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [
            BASE_DIR / "shop" / "desks" / "templates",
            BASE_DIR / "shop" / "documents" / "templates",
        ],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["shop.templatetags.once"],
        },
    },
]

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / "staticfiles"
STATICFILES_DIRS = [BASE_DIR / "shop" / "desks" / "static"]
WHITENOISE_USE_FINDERS = True

LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "desks"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = os.environ.get("SHIMWRIGHT_TIME_ZONE", "Europe/Dublin")
USE_I18N = False
USE_TZ = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# The shop's own figures. Money is in one currency; the code never assumes which.
SHOP_NAME = os.environ.get("SHIMWRIGHT_SHOP_NAME", "Shimwright")
# Where suppliers deliver, as it stands on an order to them: its lines, with a | between them.
SHOP_DELIVERY_ADDRESS = os.environ.get("SHIMWRIGHT_DELIVERY_ADDRESS", f"{SHOP_NAME} | Goods in")
SHOP_CURRENCY = os.environ.get("SHIMWRIGHT_CURRENCY", "EUR")
SHOP_TAX_PERCENT = Decimal(os.environ.get("SHIMWRIGHT_TAX_PERCENT", "23"))
SHOP_QUOTE_DAYS = int(os.environ.get("SHIMWRIGHT_QUOTE_DAYS", "14"))
SHOP_HOLD_HOURS = int(os.environ.get("SHIMWRIGHT_HOLD_HOURS", "48"))
# A delivery is counted on so late that this share of the supplier's past deliveries had come by then.
SHOP_ON_TIME_SHARE = Fraction(os.environ.get("SHIMWRIGHT_ON_TIME_SHARE", "0.8"))
# May an accepted order take what is only held for a quote?
SHOP_ORDERS_TAKE_HOLDS = _flag("SHIMWRIGHT_ORDERS_TAKE_HOLDS", False)
# The weekdays on which the bench does shop work, Monday being 0; any day unless they are named.
SHOP_WORK_DAYS = _weekdays(os.environ.get("SHIMWRIGHT_WORK_DAYS", "mon tue wed thu fri sat sun"))
# A correction worth more than this waits until a second person approves it; a count that is off by more
# than so many percent, or by more than half of this value, is counted again by somebody else.
SHOP_CORRECTION_LIMIT = Decimal(os.environ.get("SHIMWRIGHT_CORRECTION_LIMIT", "100"))
SHOP_RECOUNT_PERCENT = int(os.environ.get("SHIMWRIGHT_RECOUNT_PERCENT", "10"))
# Up to which total, carriage included, the buying desk may approve an order until its limit is set otherwise.
SHOP_BUYING_LIMIT = Decimal(os.environ.get("SHIMWRIGHT_BUYING_LIMIT", "5000"))
# What buying aims at: the share of kits to ship complete from stock, and of the pieces of other parts.
# Holding costs so much a year, as a share of the price; writing and receiving an order costs so much.
SHOP_KITS_FROM_STOCK = Decimal(os.environ.get("SHIMWRIGHT_KITS_FROM_STOCK", "0.95"))
SHOP_PARTS_FROM_STOCK = Decimal(os.environ.get("SHIMWRIGHT_PARTS_FROM_STOCK", "0.95"))
SHOP_HOLDING_RATE = Decimal(os.environ.get("SHIMWRIGHT_HOLDING_RATE", "0.2"))
# An order is filled up, or grows to a price break, only with what sells within so many days.
SHOP_BUYING_DAYS = int(os.environ.get("SHIMWRIGHT_BUYING_DAYS", "180"))
SHOP_ORDER_COST = Decimal(os.environ.get("SHIMWRIGHT_ORDER_COST", "15"))
# A repeated request or form is known for so many days; after them its Idempotency-Key is new again.
SHOP_KEEP_ANSWERS_DAYS = int(os.environ.get("SHIMWRIGHT_KEEP_ANSWERS_DAYS", "30"))
