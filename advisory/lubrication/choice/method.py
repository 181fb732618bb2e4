"""What the oil choice does and does not know, for whoever wants to judge it."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Text = Promise | str


@dataclass(frozen=True)
class MethodTold:
    """A method in words; `rests_on` names the calculators whose methods it is made of."""

    does: Text
    equations: tuple[tuple[Text, str], ...]
    holds: tuple[Text, ...]
    not_known: tuple[Text, ...]
    rests_on: tuple[tuple[Text, str], ...]


METHOD_TOLD = MethodTold(
    does=_(
        "Judges every oil in every bearing of a unit: hot, on a hard run on a hot day, by the "
        "film; cold, by whether the oil can be drawn and fills the feed pipe. It does so with the "
        "running clearance as built, as measured since, and at the wear limit. Oils with which "
        "both ends hold are named."
    ),
    equations=(
        (
            _("Film in each bearing, its heat carried off by the oil"),
            "ΔT = 2π f W R N / (s ρ cₚ Q (1 − Qₛ/2Q)), film at sump + ΔT/2; s = 1 or the share",
        ),
        (_("The film holds"), "h₀/√(Rq₁² + Rq₂²) ≥ 3, h₀ ≥ h allowed, T ≤ T allowed"),
        (_("Worst bearing"), "min over bearings of h₀/(3 Rq) and h₀/h allowed"),
        (_("Power lost"), "P = Σ f W U, on a usual warm run"),
        (_("Filling the feed pipe"), "t = (π d²/4) L / Q, Q = π d⁴ Δp/(128 μ L)"),
        (_("Need at the feed pipe"), "Qₛ of the film, against the squashed pipe's Q"),
    ),
    holds=(
        _("Where bearing, oil and temperature lie within the methods that it rests on."),
        _("What can't be carried is said with its reason, and has no number."),
    ),
    not_known=(
        _(
            "Loads that turn or hammer, and starting: these are steady loads at the engine's "
            "usual speed. Idling hot under load is harder on a film than anything here."
        ),
        _("Oil that does not arrive: a sucked-in leak, a blocked strainer, a worn pump."),
        _(
            "Wear thins the film of a slow, loaded bearing; a light, fast one may run cooler for "
            "it. A wear limit guards against more than the film."
        ),
        _("Multigrades in the cold: two viscosities don't tell how their polymers behave there."),
        _("What gears want of an oil, beyond the film in their bushes."),
        _("How an oil ages and gets dirty: the oil-change interval says that."),
    ),
    rests_on=(
        (_("Journal bearing"), "journal-bearing"),
        (_("Viscosity"), "viscosity"),
        (_("Oil feed pipe"), "feed-pipe"),
        (_("Thrust washer"), "thrust-washer"),
    ),
)
