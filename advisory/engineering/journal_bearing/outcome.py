"""What becomes of a bearing under its load: a film that carries, or the reason for none."""

from __future__ import annotations

from enum import IntEnum


class FilmOutcome(IntEnum):
    """Whether a film carries the load within what is computed here."""

    CARRIED = 0
    METAL_CONTACT = 1
    TEMPERATURE_RUNAWAY = 2
    LIGHTLY_LOADED = 3

    @property
    def code(self) -> str:
        """The outcome as a word for programs."""
        return self.name.lower()

    @property
    def reason(self) -> str:
        """Why no figures are given, in a sentence for a person; empty where the film carries."""
        return _REASONS[self]


_REASONS = {
    FilmOutcome.CARRIED: "",
    FilmOutcome.METAL_CONTACT: (
        "No film that is computed here carries this load: the journal would have to come closer "
        "than a hundredth of the radial clearance, and would touch. Less load, thicker or cooler "
        "oil, more speed, or less running clearance is needed."
    ),
    FilmOutcome.TEMPERATURE_RUNAWAY: (
        "The film would heat itself beyond 150 degC, where the oil's viscosity is not known here: "
        "hotter oil is thinner, and no steady temperature is found below that. More clearance, "
        "thinner or cooler oil, more cooling, or less speed is needed."
    ),
    FilmOutcome.LIGHTLY_LOADED: (
        "The load is too light for the table: the journal runs within a hundredth of the radial "
        "clearance of the middle, so the film is not in doubt, but its friction and flow are not "
        "computed here."
    ),
}
