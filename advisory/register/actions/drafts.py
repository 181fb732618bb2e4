"""A sheet that is still being written, locked for whoever writes on it."""

from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.enums import BuildState
from advisory.register.models import Build


def still_written(build: Build, by: Person) -> Build:
    """Return the sheet, locked until the transaction ends.

    Raises
    ------
    Refused
        For a sheet that stands signed.
    """
    rules.require(by, Permission.BUILD_UNIT, build)
    locked = Build.objects.select_for_update(of=("self",)).select_related("unit__design", "design")
    build = locked.get(pk=build.pk)
    if build.state == BuildState.SIGNED:
        raise signed_already()
    return build


def signed_already() -> Refused:
    """Say that a sheet stands as it is."""
    return Refused(
        _("This sheet is signed and stands as it is. Write a new one to correct it."),
        code="signed",
    )
