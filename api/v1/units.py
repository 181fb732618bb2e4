"""Units: added, named, put into cars, handed over."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.models import (
    Fitting,
    Unit,
)
from advisory.register.queries import open_offer
from api.scoped import Scoped, ScopedReadViewSet, find_or_404, person_of
from api.v1.hand_overs import OfferSerializer
from api.v1.units_shown import FittingSerializer, UnitNameSerializer, UnitSerializer


class UnitViewSet(mixins.CreateModelMixin, mixins.UpdateModelMixin, ScopedReadViewSet):
    """The caller's units, and those that the caller's workshop built."""

    permission = Permission.VIEW_UNIT
    queryset = Unit.objects.select_related("design")
    serializer_class = UnitSerializer
    filterset_fields = ("design", "design__kind", "workshop", "serial")
    http_method_names = ("get", "post", "patch", "head", "options")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add a unit: one's own, or onto the books of one's workshop."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        unit = actions.add_unit(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(unit).data, status=status.HTTP_201_CREATED)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change a unit's name or serial number."""
        unit = find_or_404(request, Permission.CHANGE_UNIT, self.get_queryset(), kwargs["pk"])
        wanted = UnitNameSerializer(data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        said = {"name": unit.name, "serial": unit.serial} | wanted.validated_data
        unit = actions.change_unit(unit=unit, by=person_of(request), **said)
        return Response(self.get_serializer(unit).data)

    @extend_schema(request=FittingSerializer, responses={201: FittingSerializer})
    @action(detail=True, methods=["post"])
    def fit(self, request: Request, pk: str) -> Response:
        """Say which car the unit is in from a day on."""
        unit = self.get_object()
        wanted = FittingSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        fitting = actions.fit_unit(
            unit=unit,
            car=said["car"],
            date=said["from_date"],
            shown=said.get("from_reading"),
            confirm=said["confirm"],
            by=person_of(request),
        )
        return Response(FittingSerializer(fitting).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=OfferSerializer, responses={201: OfferSerializer})
    @action(detail=True, methods=["post"])
    def hand_over(self, request: Request, pk: str) -> Response:
        """Offer the unit to its owner to be; an earlier offer that waits ends."""
        unit = self.get_object()
        wanted = OfferSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        offer = actions.offer_unit(unit=unit, by=person_of(request), **wanted.validated_data)
        return Response(OfferSerializer(offer).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"], url_path="hand_over/take_back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Take the offer that waits back."""
        unit = self.get_object()
        offer = open_offer(unit)
        if offer is not None:
            actions.take_back_offer(offer=offer, by=person_of(request))
        return Response(status=status.HTTP_204_NO_CONTENT)


class FittingViewSet(mixins.ListModelMixin, Scoped):
    """Which car a unit was in, and when."""

    permission = Permission.VIEW_USE
    queryset = Fitting.objects.all()
    serializer_class = FittingSerializer
    filterset_fields = ("unit", "car")
