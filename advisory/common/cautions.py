"""The cautions of all work, in one place; each stands on the page where the person meets the task.

They are common practice, no source: local rules, the maker's handbook and the rules of the trade
come before them.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise


@dataclass(frozen=True)
class Caution:
    """What may hurt, and how not to be hurt."""

    title: Words
    text: Words


# What still matters when the work is done: where the oil goes, and what a good result is worth.
AFTER_WORK = frozenset({"used_oil", "coolant", "no_licence"})

CAUTIONS = {
    "hot_oil": Caution(
        _("Hot oil burns"),
        _(
            "Warm oil drains better, hot oil scalds. Let it cool until you can hold your hand on"
            " the sump, wear gloves and glasses, and keep your face out from under the drain plug."
        ),
    ),
    "used_oil": Caution(
        _("Used oil is harmful"),
        _(
            "Keep it off your skin: gloves, and wash with soap. Hand it in at a licensed collection"
            " point together with filter and rags; never into a drain, the ground or a fire. Oily"
            " rags can take fire by themselves: a closed metal bin."
        ),
    ),
    "jacking": Caution(
        _("Never under a car on a jack"),
        _(
            "Level, hard ground; wheels chocked; axle stands under the points that the maker's"
            " handbook names. If you can't support it safely, have it done on a licensed lift."
        ),
    ),
    "rotating": Caution(
        _("Keep clear of what turns"),
        _(
            "Fan, belts, chains and couplings: engine stopped, ignition off, and nobody near the"
            " starting handle. No loose sleeves, no long hair. With the engine running, look, don't"
            " reach in. Running it indoors needs an open door: exhaust gas kills."
        ),
    ),
    "fire": Caution(
        _("Fuel and oil burn"),
        _(
            "Oil on an exhaust pipe, or fuel from a union that you disturbed, starts a fire. Engine"
            " cold, no smoking, no naked light, an extinguisher within reach; wipe up before you"
            " start."
        ),
    ),
    "lead": Caution(
        _("White metal can contain lead"),
        _(
            "Flakes and sludge can too. Don't blow them about or sand them; gloves, no food at the"
            " bench, wash your hands. Keep them apart and hand them in as your local rules say."
        ),
    ),
    "hot_coolant": Caution(
        _("Never open a hot radiator"),
        _("It boils over under pressure and scalds. Let it cool right down, open with a cloth."),
    ),
    "coolant": Caution(
        _("Coolant is poison"),
        _(
            "Ethylene glycol tastes sweet and kills animals and children in small amounts. Wipe up"
            " every drop, keep it in a marked, closed can, and hand it in where your local rules"
            " say. Swallowed: call the poison centre at once."
        ),
    ),
    "do_not_force": Caution(
        _("Old threads and soldered joints"),
        _(
            "Two spanners on a union, never one: a twisted pipe cracks at its joint. If a thread"
            " feels wrong or a joint weeps, stop; soldering and threads are work for the workshop."
        ),
    ),
    "no_licence": Caution(
        _("A good result is no licence"),
        _(
            "If anything looks, sounds or measures wrong, don't run it: report it and ask the"
            " workshop. What the maker's handbook or the workshop says comes before this page."
        ),
    ),
}
