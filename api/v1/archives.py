"""What is taken along: everything in one ZIP, a unit's booklet."""

from django.http import HttpResponse, StreamingHttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.plans.booklet import booklet_of
from advisory.register.models import Unit
from advisory.reports.archive import archive_of, archive_of_workshop, zip_answer
from api.scoped import find_or_404, person_of

_ZIP = {(200, "application/zip"): OpenApiTypes.BINARY}


class OwnArchiveView(APIView):
    """What is the caller's own."""

    @extend_schema(responses=_ZIP)
    def get(self, request: Request) -> StreamingHttpResponse:
        """Give everything of the caller's own: CSV files and photos."""
        return zip_answer(archive_of(person_of(request)), "everything.zip")


class WorkshopArchiveView(APIView):
    """What a workshop has."""

    @extend_schema(responses=_ZIP)
    def get(self, request: Request, pk: int) -> StreamingHttpResponse:
        """Give who leads the workshop everything that it has."""
        shops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
        shop = find_or_404(request, Permission.MANAGE_ORGANISATION, shops, pk)
        held = archive_of_workshop(shop, person_of(request))
        return zip_answer(held, f"workshop-{shop.pk}.zip")


class BookletView(APIView):
    """A unit's booklet."""

    @extend_schema(responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request: Request, pk: int) -> HttpResponse:
        """Give the booklet as a PDF, as far as the caller may see the unit."""
        units = Unit.objects.select_related("design__workshop", "workshop", "owner")
        unit = find_or_404(request, Permission.VIEW_UNIT, units, pk)
        return HttpResponse(booklet_of(unit, person_of(request)), content_type="application/pdf")
