"""Everything of a person's own, or of a workshop, in one ZIP."""

from django.http import StreamingHttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
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
