"""What the workshop tells an owner to do at once, each with the caution that stands beside it.

Common practice, no source: local rules, the maker's handbook and the workshop come before them.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.findings.enums import Instruction


@dataclass(frozen=True)
class Told:
    """The words beside an instruction; `stop` where the unit must not turn."""

    caution: Promise
    stop: bool = False


TOLD = {
    Instruction.STOP: Told(
        _(
            "Leave it standing. Don't start it, don't tow it in gear, don't turn it by hand to see"
            " whether it gets worse. If the car has to move, have it carried."
        ),
        stop=True,
    ),
    Instruction.GENTLY: Told(
        _(
            "Straight there, by daylight, slowly, without load or passengers. A new noise, heat,"
            " smoke, or pressure that falls: stop there, ring, and have it fetched. In doubt have"
            " it carried from the start."
        )
    ),
    Instruction.OIL_NOW: Told(
        _(
            "Hot oil scalds: let it cool until your hand bears the sump. Level ground, never under"
            " a car on a jack, gloves. Look at what comes out: flakes or water, don't fill and run"
            " it, send a photo. Used oil goes to a licensed collection point."
        )
    ),
    Instruction.LIFTED: Told(
        _("It takes back that one word, and says nothing of any figure past its limit.")
    ),
}
