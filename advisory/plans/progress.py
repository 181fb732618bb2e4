"""How far a run over all plans has come, in figures and in one line."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q, Sum
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.plans.models import PlanRun

WIDTH = 30


@dataclass(frozen=True)
class Progress:
    """A run's parts, those done, what came of them, and since when."""

    parts: int
    done: int
    units: int
    moved: int
    failed: int
    began_at: datetime
    ended_at: datetime | None

    @property
    def share(self) -> float:
        """How much is done, from 0 to 1."""
        return self.done / self.parts if self.parts else 1.0

    @property
    def percent(self) -> int:
        """Whole hundredths, rounded down: a hundred is all of it."""
        return 100 * self.done // self.parts if self.parts else 100

    def spent(self) -> timedelta:
        """Return the time since it began, or that it took."""
        return (self.ended_at or timezone.now()) - self.began_at

    def bar(self) -> str:
        """Return a line for a terminal: a bar, hundredths, units, seconds."""
        full = int(self.share * WIDTH)
        words = _("%(percent)3d %%, %(done)d of %(parts)d parts, %(seconds).0f s") % {
            "percent": self.percent,
            "done": self.done,
            "parts": self.parts,
            "seconds": self.spent().total_seconds(),
        }
        return f"[{'#' * full}{'.' * (WIDTH - full)}] {words}"


def progress_of(run: PlanRun) -> Progress:
    """Return how far a run is, in one query."""
    parts = run.parts.aggregate(
        parts=Count("pk"),
        done=Count("pk", filter=Q(done_at__isnull=False)),
        moved=Sum("moved", default=0),
        failed=Sum("failed", default=0),
    )
    return Progress(units=run.units, began_at=run.began_at, ended_at=run.ended_at, **parts)
