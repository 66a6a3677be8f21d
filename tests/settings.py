"""The shop's own settings, with what only tests need."""

from shop.settings import *  # noqa: F403
from shop.settings import DATABASES

if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Left to itself, Django tests SQLite in memory, where two connections are not what they are in a file.
    DATABASES["default"]["TEST"] = {"NAME": f"{DATABASES['default']['NAME']}.test"}

# Signing in is not what the tests are about, and the real hash is slow on purpose.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
