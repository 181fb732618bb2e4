"""Cars, designs, units, builds."""

from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import UserRateThrottle
from rest_framework.views import APIView

from advisory.common.quantities import FORCE, LENGTH, TIME, VOLUME
from advisory.people.enums import DistanceUnit, OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.claim_code import claim_url, code_from
from advisory.register.enums import WorkKind
from advisory.register.models import (
    Car,
    Design,
    DismantlingStep,
    Fitting,
    HandOver,
    MaintenanceInstruction,
    Position,
    Unit,
)
from advisory.register.queries import open_offer
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import Scoped, ScopedReadViewSet, find_or_404, person_of
from api.v1.usage import LogbookMixin


class CarSerializer(serializers.ModelSerializer[Car]):
    """A car and how it is used."""

    expected_annual_distance = QuantityField(LENGTH, "km", allow_null=True, required=False)

    class Meta:
        model = Car
        fields = (
            "id",
            "maker",
            "model",
            "year",
            "roads",
            "short_run_share",
            "expected_annual_distance",
        )


class NewCarSerializer(CarSerializer):
    """A car that comes into the register, with what its odometer shows."""

    odometer_unit = serializers.ChoiceField(choices=DistanceUnit.choices, default=DistanceUnit.MILE)
    odometer_digits = serializers.IntegerField(default=5, min_value=3, max_value=7)
    shown = serializers.IntegerField(required=False, min_value=0)
    shown_on = serializers.DateField(required=False)

    class Meta:
        model = Car
        fields = (
            *CarSerializer.Meta.fields,
            "odometer_unit",
            "odometer_digits",
            "shown",
            "shown_on",
        )


class CarViewSet(LogbookMixin, mixins.CreateModelMixin, mixins.UpdateModelMixin, ScopedReadViewSet):
    """The caller's cars, and those that carry a unit of the caller's workshop, with consent."""

    permission = Permission.VIEW_USE
    queryset = Car.objects.all()
    serializer_class = CarSerializer
    filterset_fields = ("year", "roads")
    http_method_names = ("get", "post", "patch", "head", "options")

    @extend_schema(request=NewCarSerializer, responses={201: CarSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add a car of one's own."""
        wanted = NewCarSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        car = actions.add_car(by=person_of(request), **wanted.validated_data)
        return Response(CarSerializer(car).data, status=status.HTTP_201_CREATED)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change what is said of a car; what is left out stays."""
        car = self.get_object()
        wanted = CarSerializer(car, data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        names = [name for name in CarSerializer.Meta.fields if name != "id"]
        said = {name: getattr(car, name) for name in names} | wanted.validated_data
        return Response(
            CarSerializer(actions.change_car(car=car, by=person_of(request), **said)).data
        )


class PositionSerializer(serializers.ModelSerializer[Position]):
    """One place of a design."""

    diameter = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    length = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    surface_roughness = QuantityField(LENGTH, "um", allow_null=True, required=False)
    load = QuantityField(FORCE, "N", allow_null=True, required=False)
    as_built_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    as_built_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    look_into_above = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    wear_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    bore_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    bore_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    journal_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    journal_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    form_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    run_out_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    flatness_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)

    class Meta:
        model = Position
        fields = (
            "id",
            "order",
            "kind",
            "name",
            "material",
            "diameter",
            "length",
            "surface_roughness",
            "load",
            "as_built_least",
            "as_built_most",
            "look_into_above",
            "wear_limit",
            "form_limit",
            "run_out_limit",
            "flatness_limit",
            "speed_ratio",
            "seal_material",
            "limits_as",
            "bore_least",
            "bore_most",
            "journal_least",
            "journal_most",
            "bore_class",
            "journal_class",
            "planes",
            "directions",
        )
        read_only_fields = ("id", "order")


class InstructionSerializer(serializers.ModelSerializer[MaintenanceInstruction]):
    """What the workshop says of one kind of work."""

    distance = QuantityField(LENGTH, "km", allow_null=True, required=False)
    hours = QuantityField(TIME, "hour", allow_null=True, required=False)

    class Meta:
        model = MaintenanceInstruction
        fields = ("work", "distance", "hours", "months", "season", "text", "needs")


class DismantlingStepSerializer(serializers.ModelSerializer[DismantlingStep]):
    """One step of taking a unit apart."""

    class Meta:
        model = DismantlingStep
        fields = ("order", "text", "otherwise", "caution")


class StepSerializer(serializers.Serializer[Any]):
    """One step of taking a unit apart, as it is written."""

    text = serializers.CharField(max_length=400)
    otherwise = serializers.CharField(max_length=400, required=False, allow_blank=True)
    caution = serializers.CharField(max_length=400, required=False, allow_blank=True)


class DismantlingSerializer(serializers.Serializer[Any]):
    """The whole order in which a unit comes apart."""

    steps = StepSerializer(many=True)


class WorkSerializer(serializers.Serializer[Any]):
    """One kind of work."""

    work = serializers.ChoiceField(choices=WorkKind.choices)


class DesignSerializer(serializers.ModelSerializer[Design]):
    """A kind of unit."""

    sump_volume = QuantityField(VOLUME, "litre", allow_null=True, required=False)
    positions = PositionSerializer(many=True)
    instructions = InstructionSerializer(many=True, read_only=True)
    dismantling = DismantlingStepSerializer(many=True, read_only=True)
    workshop = ScopedRelatedField(
        permission=Permission.REGISTER_UNIT,
        queryset=Organisation.objects.all(),
        allow_null=True,
        help_text="Null for a starter design, which nobody writes here.",
    )
    based_on = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN,
        queryset=Design.objects.all(),
        required=False,
        allow_null=True,
        help_text="Its instructions and order of dismantling are taken along.",
    )
    confirm = serializers.BooleanField(
        write_only=True, default=False, help_text="Yes, make it the next version of that name."
    )

    class Meta:
        model = Design
        fields = (
            "id",
            "workshop",
            "kind",
            "name",
            "version",
            "description",
            "speed_ratio",
            "sump_volume",
            "lubricant_code",
            "oil_feed",
            "oil_filtration",
            "level_datum",
            "positions",
            "instructions",
            "dismantling",
            "based_on",
            "confirm",
        )
        read_only_fields = ("id", "version")
        # a further version of a name is a question that the action asks
        validators = ()

    def validate_workshop(self, workshop: Organisation | None) -> Organisation:
        """Refuse to leave it open whose design it is."""
        if workshop is None:
            raise serializers.ValidationError(_("Name the workshop whose design it is."))
        return workshop


class DesignViewSet(mixins.CreateModelMixin, mixins.UpdateModelMixin, ScopedReadViewSet):
    """Starter designs, one's workshop's designs, and those of one's units."""

    http_method_names = ("get", "post", "put", "head", "options")

    permission = Permission.VIEW_DESIGN
    queryset = Design.objects.prefetch_related("positions", "instructions", "dismantling")
    serializer_class = DesignSerializer
    filterset_fields = ("kind", "workshop")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a design for one's workshop."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        positions = [actions.PositionData(**position) for position in said.pop("positions")]
        design = actions.create_design(by=person_of(request), positions=positions, **said)
        return Response(self._shown(design), status=status.HTTP_201_CREATED)

    def _shown(self, design: Design) -> Any:
        made = self.get_queryset().get(pk=design.pk)
        return self.get_serializer(made).data

    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a design anew, whole; where units stand on it, this makes its next version."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), kwargs["pk"])
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = dict(wanted.validated_data)
        positions = [actions.PositionData(**position) for position in said.pop("positions")]
        for not_changed in ("workshop", "based_on", "confirm"):
            said.pop(not_changed, None)
        said.setdefault("engine_speed", design.engine_speed)
        changed = actions.change_design(
            design=design, by=person_of(request), positions=positions, **said
        )
        return Response(self._shown(changed))

    @extend_schema(request=InstructionSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["post"])
    def instruct(self, request: Request, pk: str) -> Response:
        """Say how often one kind of work falls due; what was said of it before is replaced."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = InstructionSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = dict(wanted.validated_data)
        actions.set_instruction(design=design, by=person_of(request), **said)
        return Response(self._shown(design))

    @extend_schema(request=WorkSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["post"], url_path="instruct/remove")
    def uninstruct(self, request: Request, pk: str) -> Response:
        """Say nothing of one kind of work any more."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = WorkSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        actions.remove_instruction(
            design=design, work=wanted.validated_data["work"], by=person_of(request)
        )
        return Response(self._shown(design))

    @extend_schema(request=DismantlingSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["put"])
    def dismantling(self, request: Request, pk: str) -> Response:
        """Write the order in which a unit comes apart; the old order is replaced."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = DismantlingSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        steps = [actions.StepData(**step) for step in wanted.validated_data["steps"]]
        actions.set_dismantling(design=design, by=person_of(request), steps=steps)
        return Response(self._shown(design))


class UnitSerializer(serializers.ModelSerializer[Unit]):
    """A unit."""

    design = ScopedRelatedField(permission=Permission.VIEW_DESIGN, queryset=Design.objects.all())
    workshop = ScopedRelatedField(
        permission=Permission.REGISTER_UNIT,
        queryset=Organisation.objects.all(),
        allow_null=True,
        required=False,
    )
    kind = serializers.CharField(source="design.kind", read_only=True)

    class Meta:
        model = Unit
        fields = ("id", "design", "kind", "workshop", "serial", "name", "created_at")
        read_only_fields = ("id", "created_at")


class FittingSerializer(serializers.ModelSerializer[Fitting]):
    """A unit's stay in a car."""

    car = ScopedRelatedField(permission=Permission.KEEP_USE, queryset=Car.objects.all())
    date = serializers.DateField(source="from_date")
    shown = serializers.IntegerField(
        source="from_reading", required=False, allow_null=True, min_value=0
    )
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = Fitting
        fields = ("id", "car", "date", "shown", "until_date", "until_reading", "confirm")
        read_only_fields = ("id", "until_date", "until_reading")


class UnitNameSerializer(serializers.Serializer[Any]):
    """What may be changed on a unit."""

    name = serializers.CharField(allow_blank=True, max_length=120)
    serial = serializers.CharField(allow_blank=True, max_length=60)


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


class FittingViewSet(mixins.ListModelMixin, Scoped):
    """Which car a unit was in, and when."""

    permission = Permission.VIEW_USE
    queryset = Fitting.objects.all()
    serializer_class = FittingSerializer
    filterset_fields = ("unit", "car")
