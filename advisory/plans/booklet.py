"""The booklet of a unit: what its pages say, on A5 for the glove box; no second truth."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.cautions import CAUTIONS
from advisory.common.pdf import set_pdf
from advisory.findings.queries import found_on, last_measured
from advisory.lubrication.oil_way import StageShown, oil_way
from advisory.lubrication.words import oil_figures
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans.queries import Halt, halts_among
from advisory.plans.shown import ItemShown
from advisory.plans.unit_shown import UnitShown, show_units
from advisory.register.claim_code import claim_url, code_from, qr_svg
from advisory.register.drawn import Drawing, draw
from advisory.register.enums import PositionKind
from advisory.register.models import DismantlingStep, Unit
from advisory.register.queries import AsBuilt, as_built, open_offer

TEMPLATE = Path(__file__).with_name("booklet.typ")
NOT_KNOWN = "-"


def booklet_of(unit: Unit, by: Person) -> bytes:
    """Set a unit's booklet as a PDF, in the reader's units, as far as the reader may see."""
    today = today_of(by)
    return set_pdf(TEMPLATE, booklet_data(unit, by, today), today)


def booklet_data(unit: Unit, by: Person, today: date) -> dict[str, Any]:
    """Return all that the booklet says, in words."""
    prefs, record = preferences_of(by), as_built(unit)
    built_on = None if record.build is None else record.build.built_on
    found = found_on([unit], by)
    drawing = draw(record, last_measured(found, built_on), prefs)
    halts = halts_among(found, {unit.pk: built_on} if built_on else {})
    shown = None
    if rules.may(by, Permission.VIEW_USE, unit):
        shown = show_units([unit], by, keeps=False, halts=halts)[0]
    kinds = frozenset(PositionKind(row.position.kind) for row in record.rows)
    design = unit.design_id if record.build is None else record.build.design_id or unit.design_id
    return {
        "title": str(unit),
        "heading": _("Booklet of %(unit)s") % {"unit": unit},
        "as_of": _("As of %(day)s") % {"day": date_format(today, "j F Y")},
        "page": _("Page"),
        "plate": _plate(unit),
        "note": _(
            "Computed from what was entered. Never a licence to keep running: when in doubt, stop"
            " and ask the workshop. Local rules and the maker's handbook come first."
        ),
        "halts": [_halt(halt) for halt in halts.get(unit.pk, [])],
        "built": _built(record, drawing),
        "oil": None if shown is None else _oil(shown, oil_way(shown.oil, kinds, prefs), by),
        "plan": None if shown is None else _plan(shown),
        "looking": None if shown is None else _looking(shown),
        "apart": _apart(design),
        "safety": _safety(shown),
        "tag": _tag(unit, by),
    }


def _halt(halt: Halt) -> dict[str, str]:
    """Say what stands against running it, as its page does."""
    finding = halt.finding
    word = _("That needs a word from the workshop first.")
    if halt.standing.told:
        word = _("That holds until the workshop takes it back.")
    elif halt.stop:
        word = _(
            "That is at or past its limit: it must not turn again before the workshop has said so."
        )
    return {
        "title": halt.title,
        "text": _("%(position)s: %(figure)s on %(day)s. %(word)s")
        % {
            "position": halt.standing.position or _("Elsewhere"),
            "figure": halt.standing.what or finding.text,
            "day": date_format(halt.standing.day, "j F Y"),
            "word": word,
        },
    }


def _plate(unit: Unit) -> list[list[str]]:
    cells = [
        (_("Kind"), unit.design.get_kind_display()),
        (_("Design"), unit.design.name),
        (_("Serial number"), unit.serial or NOT_KNOWN),
        (_("Workshop"), unit.workshop or NOT_KNOWN),
    ]
    return [[str(label), str(value)] for label, value in cells]


def _built(record: AsBuilt, drawing: Drawing) -> dict[str, Any]:
    said = _("No workshop here has written a build sheet.")
    if record.build is not None:
        said = _("Built on %(day)s by %(workshop)s.") % {
            "day": date_format(record.build.built_on, "j F Y"),
            "workshop": record.build.workshop,
        }
    head = [
        _("Position"),
        _("What"),
        _("As built"),
        _("Measured last"),
        _("Wear limit"),
        _("Stands"),
    ]
    rows = [
        [
            station.position.name,
            station.quantity_words,
            station.built_words or NOT_KNOWN,
            station.measured_words or NOT_KNOWN,
            station.limit_words or NOT_KNOWN,
            station.stands_words or NOT_KNOWN,
        ]
        for station in drawing.stations
    ]
    return {"title": _("As built"), "said": said, "head": head, "rows": rows}


def _oil(shown: UnitShown, way: Sequence[StageShown], by: Person) -> dict[str, Any]:
    return {
        "title": _("Its oil"),
        "figures": [
            [str(one.label), str(one.value or NOT_KNOWN)]
            for one in oil_figures(shown.oil, preferences_of(by))
        ],
        "way": _("The way that it takes"),
        "stages": [
            {
                "name": stage.name,
                "words": stage.words,
                "weak": stage.weak,
                "source": stage.source,
                "mark": _("The weak point.") if stage.weakest else "",
            }
            for stage in way
        ],
    }


def _plan(shown: UnitShown) -> dict[str, Any]:
    return {
        "title": _("What it needs"),
        "head": [_("Work"), _("When"), _("Why then")],
        "rows": [[item.name, item.due, " ".join(item.main_reasons)] for item in shown.items],
    }


def _looking(shown: UnitShown) -> dict[str, Any]:
    return {"title": _("What to do, and what to look for"), "work": [_how(i) for i in shown.items]}


def _how(item: ItemShown) -> dict[str, Any]:
    return {
        "name": item.name,
        "cautions": [str(CAUTIONS[key].title) for key in item.work.cautions],
        "steps": [str(step) for step in item.work.steps],
        "look_for": [str(sign) for sign in item.work.look_for],
    }


def _apart(design: int) -> dict[str, Any] | None:
    steps = list(DismantlingStep.objects.filter(design=design))
    if not steps:
        return None
    return {
        "title": _("Taking it apart"),
        "lead": _("In this order, and only where the workshop says that you may."),
        "otherwise": _("Otherwise:"),
        "steps": [
            {"text": step.text, "otherwise": step.otherwise, "caution": step.caution}
            for step in steps
        ],
    }


def _safety(shown: UnitShown | None) -> dict[str, Any]:
    asked = set(CAUTIONS)
    if shown is not None:
        asked = {key for item in shown.items for key in item.work.cautions}
    wanted = [key for key in CAUTIONS if key in asked]
    return {
        "title": _("Safety"),
        "lead": _("Local rules, the maker's handbook and licensed practice come before this page."),
        "cautions": [[str(CAUTIONS[key].title), str(CAUTIONS[key].text)] for key in wanted],
    }


def _tag(unit: Unit, by: Person) -> dict[str, str]:
    """Return the tag of an offer that waits, for its giver; else the way to the unit's page."""
    offer = open_offer(unit)
    gives = rules.may(by, Permission.PASS_ON, unit) or (
        unit.owner_id is None and rules.may(by, Permission.BUILD_UNIT, unit)
    )
    if offer is not None and not offer.email and gives:
        code = code_from(offer.nonce)
        return {
            "title": _("Tag"),
            "qr": str(qr_svg(claim_url(code))),
            "alt": _("QR code that opens the page where the unit is claimed"),
            "code": code,
            "words": _("Whoever holds this can claim the unit, once, until %(day)s.")
            % {"day": date_format(offer.expires_at, "j F Y")},
        }
    address = settings.BASE_URL.rstrip("/") + reverse("plans:unit", args=[unit.pk])
    return {
        "title": _("Its page"),
        "qr": str(qr_svg(address)),
        "alt": _("QR code that leads to the unit's page"),
        "code": "",
        "words": _("Enter the odometer, see what is due, report what you found: %(address)s")
        % {"address": address},
    }
