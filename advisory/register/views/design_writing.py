"""Writing a design: new, copied from another, or changed; its rows are moved on the page."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import (
    change_design,
    create_design,
    set_dismantling,
    stands_fast,
)
from advisory.register.forms import (
    BasePositionFormSet,
    DesignForm,
    PositionForm,
    StepForm,
    position_rows,
    step_rows,
)
from advisory.register.forms.dismantling import MOST_STEPS
from advisory.register.forms.positions import MOST_POSITIONS
from advisory.register.forms.rearranging import MORE, rearranges, rows_typed
from advisory.register.models import Design
from advisory.register.queries import designs_for
from advisory.register.views.designs import writes_for

ROWS_MORE = 6
ONE_MORE = 1
UNTOUCHED = ("clearance", "0x1")


@dataclass
class Writing:
    """The forms of one design, as they stand on the page."""

    form: DesignForm
    positions: BasePositionFormSet
    sent: bool

    @property
    def is_good(self) -> bool:
        """Whether all of it can be kept, as far as the forms know."""
        # both are asked, so that everything that is wrong is said at once
        head, rows = self.form.is_valid(), self.positions.is_valid()
        return self.sent and head and rows

    @property
    def is_bad(self) -> bool:
        """Whether something was sent that has to be put right."""
        return self.sent and bool(self.form.errors or self.positions.total_error_count())

    @property
    def said(self) -> dict[str, Any]:
        """What was typed, for the actions."""
        data = dict(self.form.cleaned_data)
        confirm = data.pop("confirm")
        return {
            **data,
            "confirm": confirm,
            "positions": [row.position for row in self.positions.rows],
        }

    def refuse(self, refused: Refused) -> None:
        """Say why at the field it concerns, in the head or in a position's row."""
        self.form.asks = isinstance(refused, Question)
        prefix, _mark, rest = (refused.field or "").partition("-")
        number, _mark, name = rest.partition("-")
        rows = self.positions.rows
        if prefix == "positions" and number.isdecimal() and int(number) < len(rows):
            rows[int(number)].add_error(name, refused.message)
            self.form.add_error(None, refused.message)
            return
        self.form.refuse(refused)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def design_new(request: HttpRequest) -> HttpResponse:
    """Describe a kind of unit, from nothing or from a design that is like it."""
    by = reader(request)
    workshops = writes_for(by)
    if not workshops:
        raise Http404
    workshop = _chosen(workshops, request.POST.get("workshop") or request.GET.get("workshop"))
    told = request.POST.get("from") or request.GET.get("from") or ""
    source = get_object_or_404(designs_for(by), pk=told) if told.isdecimal() else None
    writing = _writing(request, by, source, takes_name=False)
    if writing.is_good:
        try:
            made = create_design(by=by, workshop=workshop, based_on=source, **writing.said)
        except Refused as refused:
            writing.refuse(refused)
        else:
            messages.success(request, _("Kept: %s.") % made)
            return redirect("register:design", made.pk)
    context = {"workshop": workshop, "workshops": workshops, "source": source}
    return _page(request, writing, context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def design_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a design; one that units were built to stays, and gets a next version."""
    by = reader(request)
    row = _own_or_404(by, pk)
    writing = _writing(request, by, row, takes_name=True)
    if writing.is_good:
        said = writing.said
        del said["confirm"]
        try:
            made = change_design(design=row, by=by, **said)
        except Refused as refused:
            writing.refuse(refused)
        else:
            if made.pk == row.pk:
                messages.success(request, _("Kept: %s.") % made)
            else:
                messages.success(
                    request,
                    _("Kept as version %(version)s. Units built before stay with theirs.")
                    % {"version": made.version},
                )
            return redirect("register:design", made.pk)
    context = {"workshop": row.workshop, "design": row, "stands_fast": stands_fast(row)}
    return _page(request, writing, context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def dismantling(request: HttpRequest, pk: int) -> HttpResponse:
    """Write in which order a unit of this design comes apart."""
    by = reader(request)
    row = _own_or_404(by, pk)
    error = ""
    if request.method == "POST" and not rearranges(request.POST):
        steps = step_rows(0)(request.POST, prefix="steps")
        if steps.is_valid():
            try:
                set_dismantling(design=row, by=by, steps=[one.step for one in steps.rows])
            except Refused as refused:
                error = refused.message
                number = (refused.field or "").split("-")
                if len(number) == 3:
                    steps.rows[int(number[1])].add_error(number[2], refused.message)
            else:
                messages.success(request, _("Kept: the order of dismantling."))
                return redirect("register:design", row.pk)
    elif request.method == "POST":
        typed = rows_typed(request.POST, "steps", StepForm.base_fields, most=MOST_STEPS)
        more = 3 if MORE in request.POST else ONE_MORE
        steps = step_rows(more)(prefix="steps", initial=typed)
    else:
        names = StepForm.base_fields
        there = [{name: getattr(step, name) for name in names} for step in row.dismantling.all()]
        steps = step_rows(ONE_MORE if there else 3)(prefix="steps", initial=there)
    bad = steps.is_bound and bool(error or steps.total_error_count())
    context = {"design": row, "steps": steps, "error": error, "bad": bad}
    return render(request, "register/dismantling.html", context, status=422 if bad else 200)


def _own_or_404(by: Person, pk: int) -> Design:
    rows = Design.objects.select_related("workshop")
    return get_object_or_404(rules.scope(by, Permission.WRITE_DESIGN, rows), pk=pk)


def _writing(
    request: HttpRequest, by: Person, source: Design | None, *, takes_name: bool
) -> Writing:
    """Return the forms: as they were sent, as they were rearranged, or begun from a design."""
    kwargs = {"by": by}
    if request.method != "POST":
        head: dict[str, Any] = DesignForm.told_by(source) if source else {}
        if not takes_name:
            head.pop("name", None)
        rows = [PositionForm.told_by(row) for row in source.positions.all()] if source else []
        made = position_rows(ONE_MORE if rows else ROWS_MORE)
        return Writing(
            DesignForm(by=by, initial=head),
            made(prefix="positions", initial=rows, form_kwargs=kwargs),
            sent=False,
        )
    if rearranges(request.POST):
        typed = rows_typed(
            request.POST,
            "positions",
            PositionForm.base_fields,
            most=MOST_POSITIONS,
            untouched=UNTOUCHED,
        )
        made = position_rows(ROWS_MORE if MORE in request.POST else ONE_MORE)
        return Writing(
            DesignForm(by=by, initial=_typed(request.POST)),
            made(prefix="positions", initial=typed, form_kwargs=kwargs),
            sent=False,
        )
    return Writing(
        DesignForm(request.POST, by=by),
        position_rows(0)(request.POST, prefix="positions", form_kwargs=kwargs),
        sent=True,
    )


def _page(request: HttpRequest, writing: Writing, context: dict[str, Any]) -> HttpResponse:
    shown = {
        **context,
        "form": writing.form,
        "positions": writing.positions,
        "forms": [writing.form, *writing.positions.forms] if writing.is_bad else [writing.form],
    }
    status = 422 if writing.is_bad else 200
    return render(request, "register/design_write.html", shown, status=status)


def _chosen(workshops: list[Organisation], told: str | None) -> Organisation:
    """Return the workshop that was told, or the reader's first."""
    return next((row for row in workshops if str(row.pk) == told), workshops[0])


def _typed(posted: QueryDict) -> dict[str, str]:
    return {name: str(value) for name, value in posted.items()}
