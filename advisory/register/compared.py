"""What one revision of a build sheet says otherwise than the one that it puts right."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.register.models import Build, BuildPhoto
from advisory.register.sheet import Place, Sheet, sheet_of


@dataclass(frozen=True)
class Change:
    """One place, what stood there and what stands there now."""

    place: str
    before: str
    now: str


def changes_between(before: Build, now: Build, *, sheet: Sheet | None = None) -> list[Change]:
    """Return what was changed, in the order of the sheet; `sheet`: that of `now`, if it is had."""
    stood = {place.key: place for place in sheet_of(before).places()}
    found = []
    for place in (sheet or sheet_of(now)).places():
        old = stood.get(place.key)
        if old is not None and old.text != place.text:
            found.append(Change(_named(place), old.shown_text, place.shown_text))
    rows = BuildPhoto.objects.filter(build__in=[before, now]).values_list("build", "digest")
    told = list(rows.order_by())
    photos = [{digest for pk, digest in told if pk == one.pk} for one in (before, now)]
    if photos[0] != photos[1]:
        words = [_("%(count)s photos") % {"count": len(one)} for one in photos]
        found.append(Change(_("Photos"), *words))
    return found


def _named(place: Place) -> str:
    if place.position is None:
        return str(place.field.label)
    return f"{place.position.name}, {place.field.label}"
