"""Who calls, their organisations, their consents."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.people import actions
from advisory.people.enums import ConsentScope, Role
from advisory.people.models import Consent, Invitation, Membership, Organisation, Person
from advisory.people.rules import Permission
from api.fields import ScopedRelatedField
from api.scoped import Scoped, ScopedReadViewSet, find_or_404, person_of


class PersonSerializer(serializers.ModelSerializer[Person]):
    """A person's own name and units."""

    class Meta:
        model = Person
        fields = (
            "id",
            "email",
            "name",
            "zone",
            "small_length_unit",
            "distance_unit",
            "volume_unit",
            "temperature_unit",
        )
        read_only_fields = ("id", "email")


class MeView(APIView):
    """The caller."""

    @extend_schema(responses=PersonSerializer)
    def get(self, request: Request) -> Response:
        """Show the caller's name and units."""
        return Response(PersonSerializer(person_of(request)).data)

    @extend_schema(request=PersonSerializer(partial=True), responses=PersonSerializer)
    def patch(self, request: Request) -> Response:
        """Change the caller's name, zone or units."""
        wanted = PersonSerializer(person_of(request), data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        person = actions.set_preferences(by=person_of(request), **wanted.validated_data)
        return Response(PersonSerializer(person).data)


class OrganisationSerializer(serializers.ModelSerializer[Organisation]):
    """A workshop or a club."""

    class Meta:
        model = Organisation
        fields = ("id", "kind", "name", "email", "phone")


class MembershipSerializer(serializers.ModelSerializer[Membership]):
    """Who does what in an organisation."""

    person = serializers.StringRelatedField[Any]()

    class Meta:
        model = Membership
        fields = ("id", "person", "role")


class InvitationSerializer(serializers.ModelSerializer[Invitation]):
    """An invitation by e-mail."""

    role = serializers.ChoiceField(choices=Role.choices)

    class Meta:
        model = Invitation
        fields = ("id", "email", "role", "created_at", "expires_at", "accepted_at", "withdrawn_at")
        read_only_fields = ("id", "created_at", "expires_at", "accepted_at", "withdrawn_at")


class OrganisationViewSet(ScopedReadViewSet):
    """The organisations in which the caller works."""

    permission = Permission.VIEW_ORGANISATION
    queryset = Organisation.objects.all()
    serializer_class = OrganisationSerializer
    filterset_fields = ("kind",)

    @extend_schema(responses=MembershipSerializer(many=True), filters=False)
    @action(detail=True, filterset_fields=())
    def members(self, request: Request, pk: str) -> Response:
        """List who does what, for those who may know the others."""
        organisation = find_or_404(request, Permission.VIEW_MEMBERS, Organisation.objects.all(), pk)
        rows = organisation.memberships.select_related("person").order_by("id")
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(MembershipSerializer(page, many=True).data)

    @extend_schema(request=InvitationSerializer, responses={201: InvitationSerializer})
    @action(detail=True, methods=["post"])
    def invitations(self, request: Request, pk: str) -> Response:
        """Invite somebody by e-mail."""
        organisation = find_or_404(
            request, Permission.MANAGE_ORGANISATION, Organisation.objects.all(), pk
        )
        wanted = InvitationSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        invitation, _token = actions.invite_member(
            organisation=organisation,
            email=wanted.validated_data["email"],
            role=Role(wanted.validated_data["role"]),
            by=person_of(request),
        )
        return Response(InvitationSerializer(invitation).data, status=status.HTTP_201_CREATED)


class ConsentSerializer(serializers.ModelSerializer[Consent]):
    """What the caller lets an organisation see."""

    organisation = ScopedRelatedField(
        permission=Permission.FIND_ORGANISATION, queryset=Organisation.objects.all()
    )
    scope = serializers.ChoiceField(choices=ConsentScope.choices)

    class Meta:
        model = Consent
        fields = ("id", "organisation", "scope", "given_at", "withdrawn_at")
        read_only_fields = ("id", "given_at", "withdrawn_at")


class ConsentViewSet(mixins.ListModelMixin, mixins.CreateModelMixin, Scoped):
    """The caller's consents, standing and withdrawn."""

    permission = Permission.KEEP_ACCOUNT
    queryset = Consent.objects.all()
    serializer_class = ConsentSerializer
    filterset_fields = ("organisation", "scope")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Give consent, from now on."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        consent = actions.give_consent(
            organisation=wanted.validated_data["organisation"],
            scope=ConsentScope(wanted.validated_data["scope"]),
            by=person_of(request),
        )
        return Response(ConsentSerializer(consent).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses=ConsentSerializer)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Take it back, from this moment."""
        consent = actions.withdraw_consent(consent=self.get_object(), by=person_of(request))
        return Response(ConsentSerializer(consent).data)
