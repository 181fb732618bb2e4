"""Fields that come together in one object, and the rules between them."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.calculation.fields import (
    Field,
    FieldsRefused,
    Values,
    as_mapping,
)
from advisory.common.problems import FieldError


def _joined(names: Iterable[str]) -> str:
    return _(" and ").join(names)


@dataclass(frozen=True)
class Way:
    """One way of giving something: fields that are needed together, and some that may come too."""

    needs: tuple[str, ...]
    allows: tuple[str, ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """All fields that belong to it."""
        return frozenset(self.needs) | frozenset(self.allows)


@dataclass(frozen=True)
class OneWay:
    """Exactly one of several ways must be taken, whole, and nothing of the others."""

    ways: tuple[Way, ...]

    def check(self, given: Mapping[str, object]) -> list[FieldError]:
        """Return what is wrong between the fields given."""
        mentioned = frozenset().union(*(way.names for way in self.ways))
        present = {name for name in given if name in mentioned}
        for way in self.ways:
            if present.issuperset(way.needs) and present <= way.names:
                return []
        choice = _("; or ").join(_joined(way.needs) for way in self.ways if way.needs)
        wanted = max(self.ways, key=lambda way: (len(present & way.names), -len(way.needs)))
        if not present & wanted.names:
            first = self.ways[0].needs[0]
            return [FieldError(first, _("Give %(choice)s.") % {"choice": choice}, choice)]
        missing = [name for name in wanted.needs if name not in present]
        foreign = sorted(present - wanted.names)
        there = sorted(present & wanted.names)
        return [
            *(
                FieldError(
                    name,
                    _("It is needed together with %(others)s.") % {"others": _joined(there)},
                    choice,
                )
                for name in missing
            ),
            *(
                FieldError(
                    name,
                    _("It can't be given together with %(others)s.") % {"others": _joined(there)},
                    choice,
                )
                for name in foreign
            ),
        ]

    def schema(self) -> dict[str, Any]:
        """Describe the rule as a JSON schema."""
        mentioned = frozenset().union(*(way.names for way in self.ways))
        return {
            "oneOf": [
                {
                    "required": list(way.needs),
                    **(
                        {"not": {"anyOf": [{"required": [name]} for name in foreign]}}
                        if (foreign := sorted(mentioned - way.names))
                        else {}
                    ),
                }
                for way in self.ways
            ]
        }


@dataclass(frozen=True)
class AtMostOne:
    """At most one of these fields may be given."""

    names: tuple[str, ...]

    def check(self, given: Mapping[str, object]) -> list[FieldError]:
        """Return what is wrong between the fields given."""
        present = [name for name in self.names if name in given]
        limit = _("at most one of %(names)s") % {"names": ", ".join(self.names)}
        return [
            FieldError(
                name,
                _("It can't be given together with %(others)s.") % {"others": present[0]},
                limit,
            )
            for name in present[1:]
        ]

    def schema(self) -> dict[str, Any]:
        """Describe the rule as a JSON schema."""
        pairs = [
            {"required": [a, b]} for i, a in enumerate(self.names) for b in self.names[i + 1 :]
        ]
        return {"not": {"anyOf": pairs}}


Rule = OneWay | AtMostOne
Check = Callable[[Values], Iterable[FieldError]]


@dataclass(frozen=True, kw_only=True)
class Shape:
    """Fields of one object, the rules on which are given, and checks between their values."""

    fields: tuple[Field, ...]
    rules: tuple[Rule, ...] = ()
    checks: tuple[Check, ...] = ()

    def read(self, given: object, path: str = "") -> Values:
        """Return the values in SI units, or raise FieldsRefused with every error at once."""
        mapping = as_mapping(given, path)
        prefix = f"{path}." if path else ""
        known = {field.name for field in self.fields}
        errors: list[FieldError] = [
            FieldError(
                f"{prefix}{str(name)[:64]}",
                _("There is no such field. The fields are: %(names)s.")
                % {"names": ", ".join(field.name for field in self.fields)},
            )
            for name in mapping
            if name not in known
        ]
        values: Values = {}
        for field in self.fields:
            try:
                values[field.name] = self._read_one(field, mapping, prefix)
            except FieldsRefused as refused:
                errors.extend(refused.errors)
        errors.extend(_under(prefix, self._between(mapping)))
        if not errors:
            for check in self.checks:
                errors.extend(_under(prefix, check(values)))
        if errors:
            raise FieldsRefused(errors)
        return values

    @staticmethod
    def _read_one(field: Field, mapping: Mapping[str, object], prefix: str) -> Any:
        if field.name in mapping:
            given = mapping[field.name]
            if given is None:
                raise FieldsRefused(
                    [
                        FieldError(
                            prefix + field.name,
                            _("It can't be null: leave it out where it isn't known."),
                        )
                    ]
                )
            return field.read(given, prefix + field.name)
        if field.required:
            raise FieldsRefused([FieldError(prefix + field.name, _("It is needed."), "required")])
        return field.absent

    def _between(self, mapping: Mapping[str, object]) -> Iterable[FieldError]:
        for rule in self.rules:
            yield from rule.check(mapping)

    def schema(self) -> dict[str, Any]:
        """Describe the object as a JSON schema."""
        described: dict[str, Any] = {
            "type": "object",
            "properties": {field.name: field.schema() for field in self.fields},
            "required": [field.name for field in self.fields if field.required],
            "additionalProperties": False,
        }
        if self.rules:
            described["allOf"] = [rule.schema() for rule in self.rules]
        return described


def _under(prefix: str, errors: Iterable[FieldError]) -> Sequence[FieldError]:
    return [FieldError(prefix + error.field, error.message, error.limit) for error in errors]


@dataclass(frozen=True, kw_only=True)
class ObjectField(Field):
    """A field that is itself an object with fields."""

    shape: Shape

    def _read(self, given: object, path: str) -> Values:
        return self.shape.read(given, path)

    def _form(self) -> dict[str, Any]:
        return self.shape.schema()
