"""What both sides say to a finding: answers, questions, ways to put it right, the end of it."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse
from rest_framework.views import APIView

from advisory.common.quantities import LENGTH
from advisory.findings import actions
from advisory.findings.actions import Measure, Offer
from advisory.findings.enums import Cause, Currency, Instruction, Judgement, PartOrigin, Said
from advisory.findings.models import (
    Answer,
    AnsweringAim,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    Way,
)
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register.models import Position
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import Scoped, find_or_404, person_of

KEY_HELP = "Made once by the caller: sent twice, kept once."


class PhotoSerializer(serializers.ModelSerializer[FindingPhoto]):
    """A photo of a finding."""

    url = serializers.SerializerMethodField()

    class Meta:
        model = FindingPhoto
        fields = ("id", "width", "height", "url")

    def get_url(self, photo: FindingPhoto) -> str:
        """Return where it can be fetched, by those who may see the finding."""
        return reverse("findings:photo", args=[photo.pk], request=self.context.get("request"))


class AskedSerializer(serializers.Serializer[Any]):
    """One more measurement: asked for, and brought once `value` stands there."""

    id = serializers.IntegerField(read_only=True)
    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN, queryset=Position.objects.all()
    )
    how = serializers.CharField(required=False, allow_blank=True, max_length=500)
    value = QuantityField(LENGTH, "mm", source="value.value", read_only=True, default=None)
    judgement = serializers.ChoiceField(
        choices=Judgement.choices, source="value.judgement", read_only=True, default=None
    )


class WaySerializer(serializers.ModelSerializer[Way]):
    """One way to put it right; no price where it was told to a former owner."""

    part = serializers.ChoiceField(choices=PartOrigin.choices)
    currency = serializers.ChoiceField(choices=Currency.choices)
    price = serializers.DecimalField(max_digits=9, decimal_places=2, min_value=0, allow_null=True)
    agreed = serializers.SerializerMethodField()

    class Meta:
        model = Way
        fields = ("id", "text", "part", "price", "currency", "days", "agreed")

    def get_agreed(self, way: Way) -> bool:
        """Say whether the owner picked this one, and none since."""
        return way.finding.agreed_id == way.pk


class AnswerSerializer(serializers.ModelSerializer[Answer]):
    """One word of either side, and what hangs on it."""

    by = serializers.StringRelatedField[Any](read_only=True, allow_null=True)
    kind = serializers.ChoiceField(choices=Said.choices, read_only=True)
    instruction = serializers.ChoiceField(
        choices=Instruction.choices, required=False, allow_blank=True
    )
    asked = AskedSerializer(read_only=True, default=None, allow_null=True)
    ways = WaySerializer(many=True, read_only=True)
    photos = PhotoSerializer(many=True, read_only=True)

    class Meta:
        model = Answer
        fields = ("id", "kind", "by", "at", "text", "instruction", "asked", "ways", "photos")
        read_only_fields = ("id", "at")


class NewAnswerSerializer(serializers.Serializer[Any]):
    """What a workshop says: words, and with them a question, an instruction, ways, photos.

    Photos come as files of a form.
    """

    text = serializers.CharField()
    asks = serializers.BooleanField(default=False, help_text="The owner is to answer first.")
    measure = AskedSerializer(required=False)
    instruction = serializers.ChoiceField(
        choices=Instruction.choices, required=False, allow_blank=True
    )
    ways = WaySerializer(many=True, required=False)
    photos = serializers.ListField(child=serializers.FileField(), required=False, max_length=6)
    client_key = serializers.CharField(required=False, max_length=64, help_text=KEY_HELP)


class WordSerializer(serializers.Serializer[Any]):
    """What an owner writes back: words, photos or both; photos come as files of a form."""

    text = serializers.CharField(required=False, allow_blank=True)
    photos = serializers.ListField(child=serializers.FileField(), required=False, max_length=6)
    client_key = serializers.CharField(required=False, max_length=64, help_text=KEY_HELP)


class BroughtSerializer(serializers.Serializer[Any]):
    """The value that the workshop asked for."""

    asked = serializers.IntegerField(min_value=1)
    value = QuantityField(LENGTH, "mm")
    measured_on = serializers.DateField()
    text = serializers.CharField(required=False, allow_blank=True)
    confirm = serializers.BooleanField(default=False)


class PickSerializer(serializers.Serializer[Any]):
    """Which way to put it right the owner agrees to."""

    way = serializers.IntegerField(min_value=1)
    text = serializers.CharField(required=False, allow_blank=True)


class CloseSerializer(serializers.Serializer[Any]):
    """With what a finding is closed."""

    cause = serializers.ChoiceField(choices=Cause.choices)
    found = serializers.CharField()
    confirm = serializers.BooleanField(
        default=False, help_text="Close it though a figure still stands past where to ask or stop."
    )


class Exchange(Scoped):
    """What is said to one finding."""

    def _said(self, answer: Answer) -> Response:
        row = Answer.objects.select_related("by", "asked__value").get(pk=answer.pk)
        shown = AnswerSerializer(row, context=self.get_serializer_context())
        return Response(shown.data, status=status.HTTP_201_CREATED)

    def _finding(self, pk: str) -> Response:
        row = self.get_queryset().get(pk=pk)
        return Response(self.get_serializer(row).data)

    @extend_schema(request=NewAnswerSerializer, responses={201: AnswerSerializer})
    @action(detail=True, methods=["post"])
    def answers(self, request: Request, pk: str) -> Response:
        """Answer the owner, ask, instruct, offer ways."""
        finding = find_or_404(request, Permission.ANSWER_FINDING, Finding.objects.all(), pk)
        wanted = NewAnswerSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        measure, ways = said.pop("measure", None), said.pop("ways", [])
        answer = actions.answer_finding(
            finding=finding,
            by=person_of(request),
            measure=None
            if measure is None
            else Measure(position=measure["position"], how=measure.get("how", "")),
            ways=[_offer(way) for way in ways],
            **said,
        )
        return self._said(answer)

    @extend_schema(request=WordSerializer, responses={201: AnswerSerializer})
    @action(detail=True, methods=["post"])
    def words(self, request: Request, pk: str) -> Response:
        """Write back as the owner."""
        finding = find_or_404(request, Permission.REPORT_FINDING, Finding.objects.all(), pk)
        wanted = WordSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        answer = actions.write_back(finding=finding, by=person_of(request), **wanted.validated_data)
        return self._said(answer)

    @extend_schema(request=BroughtSerializer, responses={201: AnswerSerializer})
    @action(detail=True, methods=["post"])
    def measured(self, request: Request, pk: str) -> Response:
        """Bring the value that the workshop asked for."""
        finding = find_or_404(request, Permission.REPORT_FINDING, Finding.objects.all(), pk)
        wanted = BroughtSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        rows = AskedMeasurement.objects.filter(answer__finding=finding)
        asked = find_or_404(request, Permission.REPORT_FINDING, rows, said.pop("asked"))
        answer = actions.bring_measurement(
            asked=asked, by=person_of(request), as_typed=f"{said['value'] * 1e3:.6g} mm", **said
        )
        return self._said(answer)

    @extend_schema(request=PickSerializer, responses={201: AnswerSerializer})
    @action(detail=True, methods=["post"])
    def pick(self, request: Request, pk: str) -> Response:
        """Agree to one of the ways to put it right."""
        finding = find_or_404(request, Permission.REPORT_FINDING, Finding.objects.all(), pk)
        wanted = PickSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        ways = Way.objects.filter(finding=finding)
        way = find_or_404(request, Permission.REPORT_FINDING, ways, said.pop("way"))
        return self._said(actions.pick_way(way=way, by=person_of(request), **said))

    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Send what was only written down so far, now that the owner consents."""
        finding = find_or_404(request, Permission.REPORT_FINDING, Finding.objects.all(), pk)
        actions.send_finding(finding=finding, by=person_of(request))
        return self._finding(pk)

    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Close it with the cause that was found."""
        finding = find_or_404(request, Permission.VIEW_FINDING, Finding.objects.all(), pk)
        wanted = CloseSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        actions.close_finding(finding=finding, by=person_of(request), **wanted.validated_data)
        return self._finding(pk)


def _offer(way: dict[str, Any]) -> Offer:
    if way.get("price") is None:
        raise serializers.ValidationError({"ways": ["Write a price for each way."]})
    return Offer(
        text=way["text"],
        part=PartOrigin(way["part"]),
        price=way["price"],
        currency=Currency(way["currency"]),
        days=way["days"],
    )


class AimSerializer(serializers.Serializer[Any]):
    """Within how many days a workshop means to answer first; null: no aim."""

    days = serializers.IntegerField(allow_null=True, min_value=1, max_value=90)


class AimView(APIView):
    """A workshop's own aim for a first answer."""

    @extend_schema(responses=AimSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Show the aim to the workshop's own people."""
        workshop = self._workshop(request, Permission.VIEW_ORGANISATION, pk)
        aim = AnsweringAim.objects.filter(workshop=workshop).first()
        return Response({"days": None if aim is None else aim.days})

    @extend_schema(request=AimSerializer, responses=AimSerializer)
    def put(self, request: Request, pk: int) -> Response:
        """Set the aim, or take it back."""
        workshop = self._workshop(request, Permission.MANAGE_ORGANISATION, pk)
        wanted = AimSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        days = wanted.validated_data["days"]
        actions.set_answering_aim(workshop=workshop, by=person_of(request), days=days)
        return Response({"days": days})

    def _workshop(self, request: Request, permission: Permission, pk: int) -> Organisation:
        shops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
        return find_or_404(request, permission, shops, pk)
