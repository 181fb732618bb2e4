"""Whom a bulletin meets: units of owners who consent, narrowed in one query."""

from typing import Any

from django.db.models import Case, Count, Exists, F, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce
from django.db.models.lookups import GreaterThanOrEqual, IsNull

from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import Lubricant, OilArrangement, OilService
from advisory.people import rules
from advisory.people.enums import SCOPES_OF, OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.models.bulletins import Bulletin
from advisory.register.enums import BuildState
from advisory.register.models import Design, SheetEntry, Unit

# As in the reports: what is told has five owners behind it.
FEWEST_OWNERS = 5


def owners_reached(organisation: Organisation) -> "QuerySet[Person]":
    """Return who may be written to: whose consent to the organisation stands."""
    return rules.consenting(organisation, *SCOPES_OF[organisation.kind_of])


def units_reached(organisation: Organisation) -> "QuerySet[Unit]":
    """Return the units of which it may write: a workshop of those that it built alone."""
    units = Unit.objects.filter(owner__in=owners_reached(organisation))
    if organisation.kind == OrganisationKind.WORKSHOP:
        units = units.filter(workshop=organisation)
    return units


def designs_offered(organisation: Organisation, by: Person) -> "QuerySet[Design]":
    """Return the designs that a bulletin may be narrowed to: those that its writer may look at.

    A club may choose those besides of which five of its owners or more have one, as in its report.
    """
    seen = Q(pk__in=rules.scope(by, Permission.VIEW_DESIGN, Design.objects.all()).values("pk"))
    if organisation.kind == OrganisationKind.CLUB:
        owners = owners_reached(organisation)
        of_many = (
            Design.objects.filter(units__owner__in=owners)
            .annotate(owners=Count("units__owner", distinct=True))
            .filter(owners__gte=FEWEST_OWNERS)
        )
        seen |= Q(pk__in=of_many.values("pk"))
    return Design.objects.filter(seen).order_by("kind", "name", "-version")


def audience(bulletin: Bulletin) -> "QuerySet[Unit]":
    """Return the units that a bulletin meets now."""
    units = units_reached(bulletin.organisation)
    if bulletin.kind:
        units = units.filter(design__kind=bulletin.kind)
    if bulletin.design is not None:
        units = units.filter(
            design__name=bulletin.design.name, design__workshop=bulletin.design.workshop_id
        )
    if bulletin.batch:
        units = units.filter(Exists(_parts_of(bulletin.batch)))
    if bulletin.filtration:
        known = Coalesce(Subquery(_arrangements("filtration")), Value(Filtration.UNKNOWN.value))
        units = units.alias(filter_now=known).filter(filter_now=bulletin.filtration)
    if bulletin.feed:
        # what nobody has said of a unit is as its design has it
        known = Coalesce(Subquery(_arrangements("feed")), F("design__oil_feed"))
        units = units.alias(feed_now=known).filter(feed_now=bulletin.feed)
    oils = Lubricant.objects.all()
    if bulletin.oil_of_kind:
        oils = oils.filter(**{bulletin.oil_of_kind: True})
    if bulletin.lubricant_id is not None:
        oils = oils.filter(pk=bulletin.lubricant_id)
    if bulletin.oil_of_kind or bulletin.lubricant_id is not None:
        units = units.alias(oil_now=_oil_now()).filter(oil_now__in=oils.values("pk"))
    return units


def _parts_of(batch: str) -> "QuerySet[SheetEntry]":
    """Return the entries of signed sheets that name a batch, and no newer sheet writes over."""
    signed = SheetEntry.objects.filter(name="batch", build__state=BuildState.SIGNED)
    newer = signed.filter(
        build__unit=OuterRef("build__unit"),
        position=OuterRef("position"),
    ).filter(
        Q(build__built_on__gt=OuterRef("build__built_on"))
        | Q(build__built_on=OuterRef("build__built_on"))
        & Q(build__revision__gt=OuterRef("build__revision"))
    )
    return signed.filter(~Exists(newer), build__unit=OuterRef("pk"), text__iexact=batch.strip())


def _arrangements(field: str) -> "QuerySet[Any, Any]":
    """Return one thing of the arrangement that a unit has now."""
    rows = OilArrangement.objects.filter(unit=OuterRef("pk")).order_by("-from_date", "-pk")
    values: QuerySet[Any, Any] = rows.values(field)[:1]
    return values


def _oil_now() -> Case:
    """Name the oil that is in a unit, as `lubrication.queries.oils_of` does."""
    fills = OilService.objects.filter(
        unit=OuterRef("pk"), kind=ServiceKind.CHANGE, lubricant__isnull=False
    ).order_by("-date", "-pk")
    filled, filled_on = (Subquery(fills.values(name)[:1]) for name in ("lubricant", "date"))
    named, since = (Subquery(_arrangements(name)) for name in ("lubricant", "from_date"))
    return Case(
        When(IsNull(named, True), then=filled),
        When(GreaterThanOrEqual(filled_on, since), then=filled),
        default=named,
    )
