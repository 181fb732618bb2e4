"""Forms of the register."""

from advisory.register.forms.builds import BuildHeadForm, NewBuildForm, SheetForm
from advisory.register.forms.cars import CarForm, NewCarForm
from advisory.register.forms.designs import DesignForm, InstructionForm
from advisory.register.forms.dismantling import BaseStepFormSet, StepForm, step_rows
from advisory.register.forms.positions import BasePositionFormSet, PositionForm, position_rows
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
    "BaseStepFormSet",
    "BuildHeadForm",
    "CarForm",
    "DesignForm",
    "FitForm",
    "HandOverForm",
    "InstructionForm",
    "NewBuildForm",
    "NewCarForm",
    "PositionForm",
    "RemoveForm",
    "SheetForm",
    "StartForm",
    "StepForm",
    "UnitForm",
    "WorkshopUnitForm",
    "position_rows",
    "step_rows",
]
