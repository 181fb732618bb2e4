"""A workshop's books: finding a unit by what is remembered of it."""

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, serializers
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register.finding_units import LONGEST_SEARCH, units_of_workshop
from advisory.register.models import Unit
from api.scoped import find_or_404, person_of
from api.v1.units_shown import UnitSerializer


class FoundUnitSerializer(UnitSerializer):
    """A unit on a workshop's books; its owner's name while the owner lets the workshop see it."""

    owner = serializers.SerializerMethodField()

    class Meta:
        model = Unit
        fields = (*UnitSerializer.Meta.fields, "owner")
        read_only_fields = fields

    def get_owner(self, unit: Any) -> str | None:
        """Return the owner's name, None where it isn't to be seen."""
        return str(unit.owner) if unit.owner is not None and unit.owner_shows else None


class WorkshopUnitsView(generics.GenericAPIView[Unit]):
    """The units on a workshop's books."""

    serializer_class = FoundUnitSerializer
    queryset = Unit.objects.none()

    @extend_schema(
        operation_id="workshop_units_list",
        parameters=[
            OpenApiParameter(
                "q", description="Words of serial, name, design, batch, owner or car; all must fit."
            )
        ],
        responses=FoundUnitSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """List them, the newest first, or find those that bear all of some words."""
        shops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
        shop = find_or_404(request, Permission.REGISTER_UNIT, shops, pk)
        words = request.query_params.get("q", "")[:LONGEST_SEARCH].strip()
        page = self.paginate_queryset(units_of_workshop(person_of(request), shop, words))
        return self.get_paginated_response(self.get_serializer(page, many=True).data)
