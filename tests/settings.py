"""The settings under test: the service's own, with nothing of this machine's environment in them.

Each test process has a data folder of its own. SQLite is tested in a file, as it is used: with its
real locks, and within reach of a worker started by a test.
"""

import atexit
import os

from advisory.config.machine.run_folder import run_folder

NOT_FROM_OUTSIDE = (
    "ADVISORY_DATA", "BASE_URL", "BROKER_URL", "DEBUG", "MAIL_FROM", "MAIL_URL", "SECRET_KEY",
    "ALLOWED_HOSTS", "BEHIND_PROXY", "SSL_REDIRECT", "METRICS_TOKEN", "METRICS_LOOPBACK",
    "LOG_FORMAT", "WEBHOOKS_TO_INSIDE", "WEBHOOKS_KEPT_DAYS",
)  # fmt: skip

for _name in NOT_FROM_OUTSIDE:
    os.environ.pop(_name, None)
if not os.environ.get("DATABASE_URL", "").startswith("postgres"):
    os.environ.pop("DATABASE_URL", None)

# Where the process is killed, the next run removes the folder.
_folder = run_folder("test")
os.environ["ADVISORY_DATA"] = str(_folder.__enter__())
atexit.register(_folder.__exit__, None, None, None)

from advisory.config.settings import *  # noqa: E402, F403
from advisory.config.settings import DATA, DATABASES  # noqa: E402

if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["TEST"] = {"NAME": str(DATA / "test.sqlite3")}
# A connection kept open by a thread would keep the test database from being dropped.
DATABASES["default"]["CONN_MAX_AGE"] = 0

# Nobody listens: a job that a test starts is put aside, not done.
CELERY_BROKER_URL = "memory://"
# A slow hash protects passwords that are worth something.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Looked up when asked for: each test's client would else list all files anew.
WHITENOISE_AUTOREFRESH = True
