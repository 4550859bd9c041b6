"""A table of the house file as a frozen model: all its faults at once, in the words of the file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from heatloss import catalogue
from heatloss.errors import InputError, nearest
from heatloss.house.fields import KEY, OWN, Kind, refusal, shown

Path = tuple[str | int, ...]
_BARE = re.compile(r"[A-Za-z0-9_-]{1,60}")


@dataclass(frozen=True)
class Fault:
    """One thing to mend: where, and a sentence that begins with `KEY`."""

    path: Path
    text: str

    def line(self) -> str:
        """The sentence with the path of the key, lists counted from 1."""
        steps = [f"[{p + 1}]" if isinstance(p, int) else f".{p if _BARE.fullmatch(p) else shown(p)}" for p in self.path]
        path = "".join(steps).removeprefix(".")
        last = next((str(p) for p in reversed(self.path) if isinstance(p, str)), "")
        return self.text.replace(KEY, path or "the house", 1).replace(KEY, last)

    def under(self, *path: str | int) -> Fault:
        """The same fault, seen from further up."""
        return Fault((*path, *self.path), self.text)


class HouseError(InputError):
    """Every fault of a house (or of one of its tables) in one message.

    ``sound`` holds what could be read of a list, None where an item could not.
    """

    def __init__(self, faults: Iterable[Fault], what: str = "the house", sound: tuple[Any, ...] | None = None) -> None:
        self.faults = tuple(faults)
        self.sound = sound
        count = f"{len(self.faults)} fault{'s' if len(self.faults) > 1 else ''}"
        listed = any(isinstance(step, int) for fault in self.faults for step in fault.path)
        head = f"{what} has {count}{' (lists are counted from 1)' if listed else ''}:"
        super().__init__("\n".join([head, *(f"  {fault.line()}" for fault in self.faults)]))


def faults_of(error: InputError) -> tuple[Fault, ...]:
    """The faults inside an error of a reader."""
    return error.faults if isinstance(error, HouseError) else (Fault((), str(error)),)


@dataclass(frozen=True)
class Standard:
    """A default that stands in the catalogue, with its source."""

    name: str

    @property
    def value(self) -> float:
        return catalogue.default(self.name, OWN.get())


def key(description: str, default: Any = ..., *, example: Any = None, alias: str | None = None) -> Any:
    """Declare a key of the file: what it means to a grower, its default, something to type."""
    return Field(default, description=description, examples=[example], alias=alias)


def given(key_name: str, reason: str, line: str) -> Fault:
    """The fault of a key that is wanted here and did not come."""
    return Fault((key_name,), f"{KEY} must be given {reason}, got nothing. Type, for example, {line}.")


def left_out(key_name: str, reason: str, value: Any, hint: str) -> Fault:
    """The fault of a key that came and has no meaning here."""
    return Fault((key_name,), f"{KEY} must be left out {reason}, got {shown(value)}. {hint}")


class Entry(BaseModel):
    """Base of all tables. Building one reads what was typed; every fault of the table comes in one error."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
    label: ClassVar[str]

    def __init__(self, /, **typed: Any) -> None:
        values, faults = self.checked(typed)
        if faults:
            raise HouseError(faults, f"[{self.label}]")
        super().__init__(**values)

    @classmethod
    def checked(cls, typed: Mapping[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
        """Values by attribute name as far as they could be read, and all faults."""
        values: dict[str, Any] = {}
        faults: list[Fault] = []
        for name, field, kind in keys(cls):
            alias = field.alias or name
            if alias not in typed:
                if field.is_required():
                    faults.append(Fault((alias,), missing(alias, field)))
                elif isinstance(field.default, Standard):
                    values[name] = field.default.value
                continue
            try:
                values[name] = kind.read(typed[alias])
            except InputError as error:
                faults += [fault.under(alias) for fault in faults_of(error)]
                if isinstance(error, HouseError) and error.sound is not None:
                    values[name] = error.sound
        faults += cls.unknown(typed)
        faults += cls.settle(values, typed)
        return values, faults

    @classmethod
    def unknown(cls, typed: Mapping[str, Any]) -> Iterator[Fault]:
        """Keys that do not exist, with the nearest that do."""
        known = [field.alias or name for name, field, _ in keys(cls)]
        for name in typed:
            if name not in known:
                close = nearest(name, known)
                tell = f"The nearest: {', '.join(close)}." if close else f"The keys here: {', '.join(known)}."
                yield Fault((str(name),), f"{KEY} must be a known key, got {shown(str(name))}. {tell}")

    @classmethod
    def settle(cls, values: dict[str, Any], typed: Mapping[str, Any]) -> Iterator[Fault]:
        """Checks between keys, and defaults that depend on other keys; works on whatever could be read."""
        yield from ()

    def tree(self) -> dict[str, Any]:
        """The table as it may be typed: every key that is not at its default, quantities with SI units."""
        tree = {}
        for name, field, kind in keys(type(self)):
            value = getattr(self, name)
            if value is not None and (field.is_required() or value != usual(field)):
                tree[field.alias or name] = kind.write(value)
        return tree

    @classmethod
    def schema_of(cls) -> dict[str, Any]:
        """The table's JSON schema."""
        properties, required = {}, []
        for name, field, kind in keys(cls):
            alias = field.alias or name
            properties[alias] = {**kind.schema(), "description": field.description}
            if field.is_required():
                required.append(alias)
            elif usual(field) is not None and not isinstance(kind, (One, Many)):
                properties[alias]["default"] = kind.write(usual(field))
            if field.examples and field.examples[0] is not None:
                properties[alias]["examples"] = field.examples
        summary = (cls.__doc__ or "").splitlines()[0]
        schema = {"type": "object", "description": summary, "properties": properties, "additionalProperties": False}
        return {**schema, "required": required} if required else schema


def usual(field: FieldInfo) -> Any:
    """The default of a key, looked up if it stands in the catalogue."""
    return field.default.value if isinstance(field.default, Standard) else field.default


def keys(cls: type[Entry]) -> Iterator[tuple[str, FieldInfo, Kind]]:
    """Each key of a table: attribute name, field, kind."""
    for name, field in cls.model_fields.items():
        kind = next(m for m in field.metadata if isinstance(m, Kind))
        yield name, field, kind


def missing(alias: str, field: FieldInfo) -> str:
    """The sentence for a key that must be there."""
    kind = next(m for m in field.metadata if isinstance(m, Kind))
    if isinstance(kind, One):
        return f"{KEY} must be given, got nothing. Start a table [{kind.entry.label}]."
    example = field.examples[0] if field.examples else None
    hint = "" if example is None else f" Type, for example, {alias} = {shown(example)}."
    return f"{KEY} must be given, got nothing.{hint}"


@dataclass(frozen=True)
class One(Kind):
    """A table."""

    entry: type[Entry]

    def read(self, value: Any) -> Entry:
        if isinstance(value, self.entry):
            return value
        if not isinstance(value, Mapping) or not all(isinstance(k, str) for k in value):
            label = self.entry.label
            hint = f"Write [{label}] in single brackets and its keys below it." if "." not in label else ""
            raise refusal("a table of keys", value, hint)
        return self.entry(**value)

    def write(self, value: Entry) -> dict[str, Any]:
        return value.tree()

    def schema(self) -> dict[str, Any]:
        return self.entry.schema_of()


@dataclass(frozen=True)
class Many(Kind):
    """A list of tables; those without a name are called after their place."""

    entry: type[Entry]

    def read(self, value: Any) -> tuple[Entry, ...]:
        label = self.entry.label
        if not isinstance(value, (list, tuple)):
            inline = label in ("layer", "obstacle")
            hint = "Write [{ ... }, { ... }]." if inline else f"Write [[{label}]] in double brackets above each."
            raise refusal("a list of tables", value, hint)
        found: list[Entry | None] = []
        faults: list[Fault] = []
        for i, item in enumerate(value):
            try:
                found.append(One(self.entry).read(self._named(item, i)))
            except InputError as error:
                faults += [fault.under(i) for fault in faults_of(error)]
                found.append(None)
        if faults:
            raise HouseError(faults, sound=tuple(found))
        return tuple(entry for entry in found if entry is not None)

    def _named(self, item: Any, i: int) -> Any:
        if "name" in self.entry.model_fields and isinstance(item, Mapping) and "name" not in item:
            return {"name": f"{self.entry.label} {i + 1}", **item}
        return item

    def write(self, value: tuple[Entry, ...]) -> list[Any]:
        return [entry.tree() for entry in value]

    def schema(self) -> dict[str, Any]:
        items = self.entry.schema_of()
        required = [k for k in items.pop("required", ()) if k != "name"]
        return {"type": "array", "items": {**items, "required": required} if required else items}
