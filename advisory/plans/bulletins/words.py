"""A bulletin in words: whom it meets, and where it stands."""

from django.utils.translation import gettext as _

from advisory.lubrication.enums import Feed, Filtration
from advisory.plans.bulletins.told import Became
from advisory.plans.enums import OilOfKind
from advisory.plans.models.bulletins import Bulletin
from advisory.register.enums import UnitKind


def meets_words(bulletin: Bulletin) -> list[dict[str, str]]:
    """Return what narrows whom it meets, as figures."""
    told: list[tuple[str, object]] = [
        (_("Kind"), bulletin.kind and UnitKind(bulletin.kind).label),
        (_("Design"), bulletin.design),
        (_("Batch"), bulletin.batch),
        (_("Oil in it"), bulletin.lubricant),
        (_("Kind of oil"), bulletin.oil_of_kind and OilOfKind(bulletin.oil_of_kind).label),
        (_("Filter"), bulletin.filtration and Filtration(bulletin.filtration).label),
        (_("How oil comes"), bulletin.feed and Feed(bulletin.feed).label),
    ]
    return [{"label": label, "value": str(value)} for label, value in told if value]


def became_words(became: Became) -> list[dict[str, str]]:
    """Return what became of it, as figures."""
    told = [(_("It met"), became.met), (_("Read by"), became.read), (_("Done"), became.done)]
    return [{"label": label, "value": tally.words} for label, tally in told if tally is not None]


def stands_words(bulletin: Bulletin) -> str:
    """Say where a bulletin stands."""
    if bulletin.withdrawn_at is not None:
        return _("Taken back")
    return _("Sent") if bulletin.sent_at is not None else _("Not sent yet")
