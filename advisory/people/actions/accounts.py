"""A person's own account: made for them, their units and zone, the key for programs."""

from typing import Any

from allauth.account.models import EmailAddress
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils.translation import gettext as _
from rest_framework.authtoken.models import Token

from advisory.common import audit
from advisory.common.errors import NotAllowed, Refused
from advisory.people import rules
from advisory.people.actions.checking import check, one_line
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.people.signals import preferences_changed

PREFERENCES = (
    "name",
    "zone",
    "small_length_unit",
    "distance_unit",
    "volume_unit",
    "temperature_unit",
)


def add_person(
    *, email: str, name: str, by: Person | None, password: str | None = None, **preferences: str
) -> Person:
    """Make an account whose address counts as verified, as whoever runs the service may.

    People who sign up by themselves go through the pages, which verify their address. Without a
    password the account is opened by setting one ("Lost the password?").

    Raises
    ------
    Refused
        If the address is none or taken, or the password is too easily guessed.
    """
    email = email.strip().lower()
    try:
        validate_email(email)
    except ValidationError as error:
        raise Refused(error.messages[0], field="email") from error
    person = Person(email=email, name=one_line(name))
    if not person.name:
        raise Refused(_("Enter the name that others are to read."), field="name")
    _set(person, preferences)
    if password is not None:
        try:
            validate_password(password, person)
        except ValidationError as error:
            raise Refused(error.messages[0], field="password") from error
    with transaction.atomic():
        if EmailAddress.objects.filter(email=email).exists() or Person.objects.filter(email=email):
            raise Refused(_("There is an account with this address already."), field="email")
        person.set_password(password)
        person.save()
        EmailAddress.objects.create(user=person, email=email, verified=True, primary=True)
        audit.record("add_person", person, by=by)
    return person


def set_preferences(*, by: Person, **changes: str) -> Person:
    """Change one's own name, units or zone; what is not named stays.

    Raises
    ------
    Refused
        If a value is none of those offered.
    """
    rules.require(by, Permission.KEEP_ACCOUNT, by)
    with transaction.atomic():
        person = Person.objects.select_for_update().get(pk=by.pk)
        before = {name: getattr(person, name) for name in changes}
        _set(person, changes)
        if all(getattr(person, name) == value for name, value in before.items()):
            return person
        person.save(update_fields=list(changes))
        audit.record("set_preferences", person, by=by, before=before, after=changes)
        transaction.on_commit(
            lambda: preferences_changed.send(sender=Person, person=person), robust=True
        )
    return person


def create_token(*, by: Person) -> str:
    """Make the key with which a program signs in as this person; an older one stops working."""
    rules.require(by, Permission.KEEP_ACCOUNT, by)
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=by.pk)
        Token.objects.filter(user=by).delete()
        token = Token.objects.create(user=by)
        audit.record("create_token", by, by=by)
    return str(token.key)


def revoke_token(*, by: Person) -> None:
    """Let no program sign in as this person any more."""
    rules.require(by, Permission.KEEP_ACCOUNT, by)
    with transaction.atomic():
        deleted, _rows = Token.objects.filter(user=by).delete()
        if deleted:
            audit.record("revoke_token", by, by=by)


def close_account(*, person: Person, by: Person) -> None:
    """Let a person in no more; their records stay, and nobody sees them on their consent."""
    _set_active(person, by, active=False)


def open_account(*, person: Person, by: Person) -> None:
    """Let a person in again whose account was closed."""
    _set_active(person, by, active=True)


def _set_active(person: Person, by: Person, *, active: bool) -> None:
    # no role in rules.py: running the service is Django's own permission
    if not by.has_perm("people.change_person"):
        raise NotAllowed("people.change_person")
    with transaction.atomic():
        changed = Person.objects.select_for_update().get(pk=person.pk)
        if changed.is_active != active:
            changed.is_active = active
            changed.save(update_fields=["is_active"])
            audit.record("open_account" if active else "close_account", changed, by=by)


def _set(person: Person, changes: dict[str, Any]) -> None:
    unknown = set(changes) - set(PREFERENCES)
    if unknown:
        raise TypeError(f"No preference is called {', '.join(sorted(unknown))}.")
    for name, value in changes.items():
        setattr(person, name, one_line(value))
    check(person, only=changes)
