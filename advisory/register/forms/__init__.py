"""Forms of the register."""

from advisory.register.forms.builds import BuildHeadForm, NewBuildForm, SheetForm
from advisory.register.forms.cars import CarForm, NewCarForm
from advisory.register.forms.designs import (
    BasePositionFormSet,
    DesignForm,
    InstructionForm,
    PositionFormSet,
)
from advisory.register.forms.units import (
    FitForm,
    HandOverForm,
    RemoveForm,
    StartForm,
    UnitForm,
    WorkshopUnitForm,
)

__all__ = [
    "BasePositionFormSet",
    "BuildHeadForm",
    "CarForm",
    "DesignForm",
    "FitForm",
    "HandOverForm",
    "InstructionForm",
    "NewBuildForm",
    "NewCarForm",
    "PositionFormSet",
    "RemoveForm",
    "SheetForm",
    "StartForm",
    "UnitForm",
    "WorkshopUnitForm",
]
