"""Units on their way to an owner, or to a workshop that takes them on."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import UserRateThrottle
from rest_framework.views import APIView

from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.claim_code import claim_url, code_from
from advisory.register.models import (
    Car,
    Design,
    HandOver,
)
from api.fields import ScopedRelatedField
from api.scoped import find_or_404, person_of
from api.v1.units_shown import UnitSerializer


class OfferSerializer(serializers.Serializer[Any]):
    """To whom a unit is offered: by letter to an address, or, without one, to a tag's holder."""

    email = serializers.CharField(
        default="", allow_blank=True, max_length=254, help_text="Empty: for whoever holds the tag."
    )
    with_car = serializers.BooleanField(
        default=False, help_text="Sold with its car, and all of the owner's that is in it."
    )
    for_workshop = serializers.BooleanField(
        default=False, help_text="Brought to a workshop that takes it on; it stays its owner's."
    )
    consents = serializers.BooleanField(
        default=False, help_text="That workshop may see how it is used."
    )
    expires_at = serializers.DateTimeField(read_only=True)
    code = serializers.SerializerMethodField(help_text="of the tag; none with a letter")
    address = serializers.SerializerMethodField(help_text="that the tag leads to")

    def get_code(self, offer: HandOver) -> str | None:
        """Work the code out again, for the giver alone."""
        return None if offer.email else code_from(offer.nonce)

    def get_address(self, offer: HandOver) -> str | None:
        """Return where the code is used."""
        return None if offer.email else claim_url(code_from(offer.nonce))


class ClaimSerializer(serializers.Serializer[Any]):
    """The code of a tag or letter, and what its holder tells."""

    code = serializers.CharField(max_length=40)
    consents = serializers.BooleanField(
        default=False, help_text="May the workshop that built it see how it is used?"
    )
    car = ScopedRelatedField(
        permission=Permission.CHANGE_UNIT, queryset=Car.objects.all(), required=False
    )
    fitted_on = serializers.DateField(required=False)
    shown = serializers.IntegerField(required=False, min_value=0)
    confirm = serializers.BooleanField(default=False)


class ClaimThrottle(UserRateThrottle):
    """Guessing a code must not pay."""

    scope = "claim"
    rate = "20/hour"


class ClaimView(APIView):
    """Taking a unit over with its code."""

    throttle_classes = (ClaimThrottle,)

    @extend_schema(request=ClaimSerializer, responses={201: UnitSerializer})
    def post(self, request: Request) -> Response:
        """Make the unit one's own, with its technical history."""
        wanted = ClaimSerializer(data=request.data, context={"request": request})
        wanted.is_valid(raise_exception=True)
        said = dict(wanted.validated_data)
        code = said.pop("code")
        unit = actions.claim_unit(code=code, by=person_of(request), new=actions.NewOwner(**said))
        answer = UnitSerializer(unit, context={"request": request})
        return Response(answer.data, status=status.HTTP_201_CREATED)


class TakeOnSerializer(serializers.Serializer[Any]):
    """The code of a unit that an owner brings to a workshop."""

    code = serializers.CharField(max_length=40)
    design = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN, queryset=Design.objects.all(), required=False
    )


class TakeOnView(APIView):
    """Taking a unit on that its owner brings."""

    throttle_classes = (ClaimThrottle,)

    @extend_schema(request=TakeOnSerializer, responses={201: UnitSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Put the unit onto the workshop's books; its owner stays."""
        shops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
        shop = find_or_404(request, Permission.REGISTER_UNIT, shops, pk)
        wanted = TakeOnSerializer(data=request.data, context={"request": request})
        wanted.is_valid(raise_exception=True)
        unit = actions.take_on_unit(workshop=shop, by=person_of(request), **wanted.validated_data)
        answer = UnitSerializer(unit, context={"request": request})
        return Response(answer.data, status=status.HTTP_201_CREATED)
