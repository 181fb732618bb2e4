"""Taking a logbook in: all of it or nothing, and the same one twice changes nothing."""

import hashlib
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common import audit
from advisory.common.csv_files.text import LARGEST_FILE
from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Car
from advisory.register.shown import in_figures
from advisory.usage.adapters import odometer_on
from advisory.usage.enums import DoubtfulLines, ReadingSource
from advisory.usage.logbook_csv import Logbook
from advisory.usage.logbook_preview import LineState, preview_logbook, vouched_for
from advisory.usage.models import LogbookUpload, Reading
from advisory.usage.queries import car_use
from advisory.usage.signals import usage_changed

KEPT_FOR = timedelta(days=1)
_AT_ONCE = 2000


@dataclass(frozen=True)
class Imported:
    """How many lines were added, were there already, and were left out."""

    added: int
    there: int
    left_out: int


@transaction.atomic
def import_logbook(
    *,
    car: Car,
    logbook: Logbook,
    by: Person,
    name: str = "",
    content: bytes = b"",
    leave_out_unreadable: bool = False,
    doubtful: str = DoubtfulLines.ASK,
    upload: LogbookUpload | None = None,
) -> Imported:
    """Take the readings of a logbook in; an upload that held it has served.

    Raises
    ------
    Refused
        While lines can't be read and are not left out; `Question` while doubtful lines are neither
        left out nor confirmed. Nothing is saved then.
    """
    rules.require(by, Permission.KEEP_USE, car)
    if not logbook.is_clear:
        raise Refused(_("Say first what the columns hold and how the dates are written."))
    car = Car.objects.select_for_update().get(pk=car.pk)
    use = car_use(car)
    preview = preview_logbook(use, logbook, today_of(by))
    unreadable, asked = preview.of(LineState.UNREADABLE), preview.of(LineState.DOUBTFUL)
    if unreadable and not leave_out_unreadable:
        raise Refused(
            ngettext(
                "%(count)s line cannot be read. Mend it in the file, or leave it out.",
                "%(count)s lines cannot be read. Mend them in the file, or leave them out.",
                len(unreadable),
            )
            % {"count": in_figures(len(unreadable))},
            field="leave_out_unreadable",
            code="unreadable_lines",
        )
    if asked and doubtful not in (DoubtfulLines.LEAVE_OUT, DoubtfulLines.RIGHT):
        raise Question(
            ngettext(
                "%(count)s line is doubtful. Say whether it is right, or leave it out.",
                "%(count)s lines are doubtful. Say whether they are right, or leave them out.",
                len(asked),
            )
            % {"count": in_figures(len(asked))},
            field="doubtful",
            code="doubtful_lines",
        )
    if doubtful == DoubtfulLines.RIGHT:
        vouched, plain = vouched_for(use, preview)
        left_out = len(unreadable)
    else:
        vouched, plain = [], [line.line for line in preview.of(LineState.NEW)]
        left_out = len(unreadable) + len(asked)
    readings = [
        Reading(
            odometer=odometer_on(use.odometers, line.date),
            date=line.date,
            shown=line.shown,
            note=line.note,
            source=ReadingSource.IMPORTED,
            confirmed=confirmed,
            entered_by=by,
        )
        for confirmed, lines in ((False, plain), (True, vouched))
        for line in lines
        if line.date is not None and line.shown is not None
    ]
    result = Imported(len(readings), len(preview.of(LineState.THERE)), left_out)
    if readings:
        Reading.objects.bulk_create(readings, batch_size=_AT_ONCE)
        audit.record(
            "import_logbook", car, by=by, name=name, digest=hashlib.sha256(content).hexdigest(),
            added=result.added, there=result.there, left_out=result.left_out,
        )  # fmt: skip
        transaction.on_commit(partial(usage_changed.send, Car, car=car))
    if upload is not None:
        LogbookUpload.objects.filter(pk=upload.pk, car=car).delete()
    return result


@transaction.atomic
def keep_upload(*, car: Car, name: str, content: bytes, by: Person) -> LogbookUpload:
    """Keep a file between the steps of its import; the person's earlier one for the car goes.

    Raises
    ------
    Refused
        For one that is too large.
    """
    rules.require(by, Permission.KEEP_USE, car)
    if len(content) > LARGEST_FILE:
        raise Refused(
            _("The file is larger than 8 MB. Split it, and import the parts one by one."),
            field="file",
            code="too_large",
        )
    LogbookUpload.objects.filter(created_at__lt=timezone.now() - KEPT_FOR).delete()
    LogbookUpload.objects.filter(car=car, uploaded_by=by).delete()
    return LogbookUpload.objects.create(
        car=car, uploaded_by=by, name=name[-200:] or "logbook.csv", content=content
    )
