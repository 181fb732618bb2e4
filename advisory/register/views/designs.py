"""Designs: the list, one of them, a new one."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from advisory.common.errors import Question, Refused
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.reader import reader
from advisory.people.rules import Permission
from advisory.register.actions import create_design, set_instruction
from advisory.register.adapters import oil_choices
from advisory.register.forms import (
    BasePositionFormSet,
    DesignForm,
    InstructionForm,
    PositionFormSet,
)
from advisory.register.forms.designs import MOST_POSITIONS
from advisory.register.queries import designs_for

A_PAGE = 40
ROWS_MORE = 6


@login_required
@require_safe
def designs(request: HttpRequest) -> HttpResponse:
    """List the designs that the reader may look at."""
    by = reader(request)
    page = Paginator(designs_for(by), A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "designs": list(page.object_list), "writes": _writes_for(by)}
    return render(request, "register/designs.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def design(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a design with its positions and instructions; its workshop sets instructions here."""
    by = reader(request)
    row = get_object_or_404(designs_for(by), pk=pk)
    writes = rules.may(by, Permission.WRITE_DESIGN, row)
    if request.method == "POST" and not writes:
        raise Http404
    form = InstructionForm(request.POST if request.method == "POST" else None, by=by)
    if form.is_valid():
        try:
            set_instruction(design=row, by=by, **form.cleaned_data)
        except Refused as refused:
            form.refuse(refused)
        else:
            messages.success(request, _("Kept: the instruction."))
            return redirect("register:design", row.pk)
    context = {
        "design": row,
        "positions": row.positions.all(),
        "instructions": row.instructions.all(),
        "oil": dict(oil_choices()).get(row.lubricant_code, row.lubricant_code),
        "writes": writes,
        "form": form,
    }
    status = 422 if form.errors else 200
    return render(request, "register/design.html", context, status=status)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def design_new(request: HttpRequest) -> HttpResponse:
    """Describe a kind of unit: head and positions on one page."""
    by = reader(request)
    workshops = _writes_for(by)
    if not workshops:
        raise Http404
    workshop = _chosen(workshops, request.POST.get("workshop") or request.GET.get("workshop"))
    posted = request.POST.copy() if request.method == "POST" else None
    more = posted is not None and "more" in posted
    form = DesignForm(None if more else posted, by=by, initial=_typed(posted) if more else None)
    positions = PositionFormSet(
        _with_more_rows(posted) if more else posted, prefix="positions", form_kwargs={"by": by}
    )
    if posted is not None and not more and form.is_valid() and positions.is_valid():
        data = dict(form.cleaned_data)
        try:
            made = create_design(
                by=by,
                workshop=workshop,
                positions=[row.position for row in positions.rows],
                **data,
            )
        except Refused as refused:
            _refuse(form, positions, refused)
        else:
            messages.success(request, _("Kept: %s.") % made)
            return redirect("register:design", made.pk)
    bad = posted is not None and not more and (form.errors or positions.total_error_count())
    context = {
        "form": form,
        "positions": positions,
        "workshop": workshop,
        "workshops": workshops,
        "forms": [form, *positions.forms] if bad else [form],
        "more": more,
    }
    return render(request, "register/design_new.html", context, status=422 if bad else 200)


def _writes_for(by: Person) -> list[Organisation]:
    return list(rules.organisations_where(by, Permission.REGISTER_UNIT))


def _chosen(workshops: list[Organisation], told: str | None) -> Organisation:
    """Return the workshop that was told, or the reader's first."""
    return next((row for row in workshops if str(row.pk) == told), workshops[0])


def _with_more_rows(posted: QueryDict | None) -> QueryDict | None:
    if posted is not None:
        told = posted.get("positions-TOTAL_FORMS", "")
        rows = int(told) if str(told).isdecimal() else 0
        posted["positions-TOTAL_FORMS"] = str(min(rows + ROWS_MORE, MOST_POSITIONS))
    return posted


def _typed(posted: QueryDict | None) -> dict[str, str]:
    return {name: str(value) for name, value in posted.items()} if posted is not None else {}


def _refuse(form: DesignForm, positions: BasePositionFormSet, refused: Refused) -> None:
    """Say why at the field it concerns, in the head or in a position's row."""
    form.asks = isinstance(refused, Question)
    prefix, _mark, rest = (refused.field or "").partition("-")
    number, _mark, name = rest.partition("-")
    rows = positions.rows
    if prefix == "positions" and number.isdecimal() and int(number) < len(rows):
        rows[int(number)].add_error(name, refused.message)
        form.add_error(None, refused.message)
        return
    form.refuse(refused)
