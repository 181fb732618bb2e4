"""The contract of the calculators: a computation is declared once, and asked for anywhere.

On the command line, over the API and on pages the same object reads the input, computes arrays
together, and answers in the same words. An app declares its calculators in `calculators.py`.
"""

from advisory.common.calculation import registry
from advisory.common.calculation.answers import (
    Answer,
    DateOut,
    ListOut,
    NumberOut,
    ObjectOut,
    OneOrListOut,
    Out,
    QuantityOut,
    TextOut,
    Warned,
    WholeOut,
    YesNoOut,
)
from advisory.common.calculation.bounds import UNBOUNDED, Bounds
from advisory.common.calculation.calculator import (
    PROBLEM_SCHEMA,
    Answers,
    CalculationRefused,
    Calculator,
)
from advisory.common.calculation.check_answers import CHECKS_OUT, told
from advisory.common.calculation.fields import (
    LONGEST_LIST,
    REQUIRED,
    ChoiceField,
    DateField,
    Field,
    FieldsRefused,
    ListField,
    NumberField,
    OneOrListField,
    QuantityField,
    TextField,
    Values,
    WholeNumberField,
    YesNoField,
)
from advisory.common.calculation.json_text import read_json, write_json
from advisory.common.calculation.shape import AtMostOne, ObjectField, OneWay, Shape, Way
from advisory.common.calculation.together import by_kind, column

__all__ = [
    "CHECKS_OUT",
    "LONGEST_LIST",
    "PROBLEM_SCHEMA",
    "REQUIRED",
    "UNBOUNDED",
    "Answer",
    "Answers",
    "AtMostOne",
    "Bounds",
    "CalculationRefused",
    "Calculator",
    "ChoiceField",
    "DateField",
    "DateOut",
    "Field",
    "FieldsRefused",
    "ListField",
    "ListOut",
    "NumberField",
    "NumberOut",
    "ObjectField",
    "ObjectOut",
    "OneOrListField",
    "OneOrListOut",
    "OneWay",
    "Out",
    "QuantityField",
    "QuantityOut",
    "Shape",
    "TextField",
    "TextOut",
    "Values",
    "Warned",
    "Way",
    "WholeNumberField",
    "WholeOut",
    "YesNoField",
    "YesNoOut",
    "by_kind",
    "column",
    "read_json",
    "registry",
    "told",
    "write_json",
]
