"""Note when each finding was answered first."""

from typing import Any

from django.db import migrations
from django.db.models import Min, OuterRef, Subquery


def note_first_answers(apps: Any, schema_editor: Any) -> None:
    """Take the time of the first word to each finding."""
    finding, answer = apps.get_model("findings", "Finding"), apps.get_model("findings", "Answer")
    first = (
        answer.objects.filter(finding=OuterRef("pk"))
        .order_by()
        .values("finding")
        .annotate(first=Min("at"))
        .values("first")
    )
    finding.objects.filter(first_answered_at=None).update(first_answered_at=Subquery(first))


class Migration(migrations.Migration):
    dependencies = [("findings", "0007_course")]

    operations = [migrations.RunPython(note_first_answers, migrations.RunPython.noop)]
