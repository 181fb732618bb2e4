"""Signed sheets that are brought in: still what was signed, and sealed under their new keys."""

from collections.abc import Mapping
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.people.models import Organisation, Person
from advisory.register.digest import is_as_signed, signed_digest
from advisory.register.enums import BuildState
from advisory.register.models import Build, Design, Position, Unit


def seal(signed: dict[int, dict[str, Any]], keys: Mapping[type[Model], dict[int, int]]) -> None:
    """Hold each signed sheet against its digest, by the keys of its day, and seal it anew.

    `signed`: by the key of its day, what stands at the head of each; `keys`: what each became.
    """
    old_of: dict[type[Model], dict[int, int]] = {
        model: {new: old for old, new in keys.get(model, {}).items()}
        for model in (Position, Build, Design, Unit, Organisation, Person)
    }
    for old_key, values in signed.items():
        new_key = keys[Build][old_key]
        build = Build.objects.select_related("design", "unit__design").get(pk=new_key)
        rows: dict[str, list[Any]] = {
            "entries": list(build.entries.order_by()),
            "figures": list(build.measurements.order_by()),
            "photos": list(build.photos.order_by()),
        }
        build.state = BuildState.SIGNED
        then = _as_of_its_day(build, rows, old_of, values)
        if values["digest"] and then != values["digest"]:
            raise Refused(
                _("The signed sheet %(sheet)s was changed since it was signed.") % {"sheet": build}
            )
        digest = signed_digest(build) if values["digest"] else ""
        Build._base_manager.filter(pk=new_key).update(state=BuildState.SIGNED, digest=digest)
        build.digest = digest
        assert not digest or is_as_signed(build)


def _as_of_its_day(
    build: Build,
    rows: dict[str, list[Any]],
    old_of: dict[type[Model], dict[int, int]],
    values: dict[str, Any],
) -> str:
    """Return the digest of a sheet with the keys that its rows had where it was signed."""
    design = build.design or build.unit.design
    old = Build(
        unit_id=old_of[Unit][build.unit_id],
        workshop_id=old_of[Organisation][build.workshop_id],
        signed_by_id=old_of[Person].get(build.signed_by_id or 0),
        checked_by_id=old_of[Person].get(build.checked_by_id or 0),
        corrects_id=old_of[Build].get(build.corrects_id or 0),
        **{
            name: values[name]
            for name in ("built_on", "revision", "reason", "new_white_metal", "notes", "signed_at")
        },
    )
    old.design = Design(pk=old_of[Design][design.pk], name=design.name, version=design.version)
    for row in [*rows["entries"], *rows["figures"], *rows["photos"]]:
        row.position_id = old_of[Position].get(row.position_id or 0)
    return signed_digest(old, **rows)
