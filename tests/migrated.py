"""A migrated SQLite database kept from one run to the next: migrating takes longer than most tests.

It is kept under the digest of all migrations; change one, and the next run migrates anew. Whatever
it holds, `migrate` is run on the copy.
"""

import hashlib
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import django
import pytest
from django.apps import apps
from django.conf import settings
from django.db import connection

FOLDER = "migrated"


def digest_of_migrations() -> str:
    """Return what tells one state of all migrations from another."""
    digest = hashlib.sha256(django.__version__.encode())
    for config in apps.get_app_configs():
        digest.update(config.label.encode())
        for path in sorted(Path(config.path).glob("migrations/*.py")):
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def copy_database(source: Path, target: Path) -> None:
    """Copy a database that may be open."""
    with closing(sqlite3.connect(source)) as read, closing(sqlite3.connect(target)) as write:
        read.backup(write)


@pytest.fixture(scope="session")
def kept_database(request: pytest.FixtureRequest) -> Path:
    """Return where the migrated database is kept for this state of the migrations."""
    folder: Path = request.config.cache.mkdir(FOLDER)
    return folder / f"{digest_of_migrations()}.sqlite3"


@pytest.fixture(scope="session")
def django_db_keepdb(
    django_db_modify_db_settings: None, django_db_keepdb: bool, kept_database: Path
) -> bool:
    """Start from the kept database where there is one."""
    if connection.vendor != "sqlite" or not kept_database.exists():
        return django_db_keepdb
    copy_database(kept_database, Path(settings.DATABASES["default"]["TEST"]["NAME"]))
    return True


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, kept_database: Path) -> None:
    """Keep what was migrated."""
    if connection.vendor == "sqlite" and not kept_database.exists():
        unfinished = kept_database.with_suffix(f".{os.getpid()}")
        copy_database(Path(str(connection.settings_dict["NAME"])), unfinished)
        for old in kept_database.parent.glob("*.sqlite3"):
            old.unlink(missing_ok=True)
        unfinished.rename(kept_database)
