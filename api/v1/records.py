"""Taking a workshop's old records in."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.common.csv_files import LARGEST_FILE, DateOrder, FileRefused
from advisory.people.clock import today_of
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register.actions import import_records, look_through
from advisory.register.records_csv import read_records
from api.scoped import find_or_404, person_of


class OldRecordsSerializer(serializers.Serializer[Any]):
    """A CSV file of old records, and what to do with it."""

    file = serializers.FileField()
    dates = serializers.ChoiceField(choices=DateOrder.choices, required=False)
    sign = serializers.BooleanField(default=False, help_text="Sign each sheet as of its day.")
    dry_run = serializers.BooleanField(default=True, help_text="Look through it, and keep nothing.")

    def validate_file(self, file: Any) -> Any:
        """Refuse one that is too large to look through."""
        if file.size > LARGEST_FILE:
            raise serializers.ValidationError("The file is larger than 8 MB. Split it.")
        return file


class ProblemLineSerializer(serializers.Serializer[Any]):
    """What stands against a line."""

    line = serializers.IntegerField(source="line.number")
    message = serializers.CharField()


class TakenInSerializer(serializers.Serializer[Any]):
    """What was taken in, or would be."""

    units = serializers.IntegerField()
    builds = serializers.IntegerField()
    sizes = serializers.IntegerField()
    problems = ProblemLineSerializer(many=True)


class OldRecordsView(APIView):
    """A workshop's old records."""

    parser_classes = (MultiPartParser,)

    @extend_schema(request=OldRecordsSerializer, responses=TakenInSerializer)
    def post(self, request: Request, pk: int) -> Response:
        """Look through a file, or take all of it in; with anything against it, nothing."""
        shops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
        shop = find_or_404(request, Permission.REGISTER_UNIT, shops, pk)
        wanted = OldRecordsSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said, by = wanted.validated_data, person_of(request)
        order = DateOrder(said["dates"]) if said.get("dates") else None
        try:
            records = read_records(said["file"].read(), today=today_of(by), order=order)
        except FileRefused as error:
            raise serializers.ValidationError({"file": error.message}) from error
        if records.orders:
            raise serializers.ValidationError(
                {"dates": f"“{records.example}” can be read in more than one way. Say which."}
            )
        do = {"workshop": shop, "records": records, "by": by, "sign": said["sign"]}
        done = look_through(**do) if said["dry_run"] else import_records(**do)
        return Response(TakenInSerializer(done).data)
