"""Docstrings keep their form: sections, a unit on every number, a worked example on every physics function."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re

import pytest

import heatloss
import heatloss.physics
from heatloss.units import GLOSSARY

NUMBER_WORDS = ("float", "numeric", "hourly", "array")

# Units that no name of the glossary carries but a formula needs.
MORE_UNITS = {
    "s/m",
    "W/(m2 Pa)",
    "W/m3",
    "day",
    "1",
    "K",
    "s",
    "J",
    "kg/kg",
    "mg/L",
    "mg/(kg h)",
    "kg/kWh",
    "usd",
    "year",
    "usd/year",
    "d",
    "1/d",
    "m3/s",
    "m2/s",
    "kg/(m2 s)",
    "kg/s",
    "J/(m2 K)",
    "J/m2",
    "J/kg of dry air",
    "K h",
    "K d",
    "W h/(m3 K)",
    "W/(m2 K^(4/3))",
    "m3/(s Pa^n)",
    "(Pa/K)^n",
    "(Pa s2/m2)^n",
    "1/h per m/s",
    "1/h per K^0.5",
    "mbar",
    "min",
    "rad",
}
UNITS = {unit for unit, _ in GLOSSARY.values()} | MORE_UNITS


def public_members(module):
    """Public functions and classes written in a module itself."""
    for name, member in vars(module).items():
        own = not name.startswith("_") and getattr(member, "__module__", None) == module.__name__
        if own and (inspect.isfunction(member) or inspect.isclass(member)):
            yield name, member


def submodules(package):
    return [
        importlib.import_module(f"{package.__name__}.{m.name}")
        for m in pkgutil.iter_modules(package.__path__)
        if not m.name.startswith("_")
    ]


PHYSICS = {f"{m.__name__}.{n}": f for m in submodules(heatloss.physics) for n, f in public_members(m)}
PHYSICS_FUNCTIONS = {name: f for name, f in PHYSICS.items() if inspect.isfunction(f)}


def sections(member):
    """{section: body} of a numpydoc docstring; the text before the first section is under ''."""
    text = inspect.getdoc(member) or ""
    parts = re.split(r"^(\w[\w ]*)\n-{3,}\n?", text, flags=re.M)
    return {"": parts[0].strip(), **dict(zip(parts[1::2], parts[2::2], strict=True))}


def entries(body):
    """{names: text} of a Parameters, Returns or Attributes section, one item per unindented line."""
    found = {}
    for line in body.splitlines():
        if line and not line.startswith(" "):
            head = line
            found[head] = line
        elif line.strip():
            found[head] += " " + line.strip()
    return found


def parameters(member):
    return [p for p in inspect.signature(member).parameters if p not in ("self", "cls")]


def documented(body):
    return [n.strip(" *`") for head in entries(body) for n in head.split(":")[0].split(",")]


@pytest.mark.parametrize("name", PHYSICS_FUNCTIONS)
def test_physics_functions_have_all_sections(name):
    function, found = PHYSICS_FUNCTIONS[name], sections(PHYSICS_FUNCTIONS[name])
    assert found[""].splitlines()[0].endswith((".", ":")), "the first line says what it is, in a sentence"
    for section in ("Returns", "Notes", "References", "Examples"):
        assert section in found, section
    if parameters(function):
        assert documented(found["Parameters"]) == parameters(function)
    assert ">>>" in found["Examples"]


@pytest.mark.parametrize("name", PHYSICS_FUNCTIONS)
def test_physics_references_say_how_they_are_known(name):
    text = " ".join(sections(PHYSICS_FUNCTIONS[name])["References"].lower().split())
    assert re.search(r"\bread\b|from memory|calculated|definition|common practice|of this module", text), text


@pytest.mark.parametrize("name", PHYSICS)
def test_every_number_carries_a_known_unit(name):
    found = sections(PHYSICS[name])
    for section in ("Parameters", "Returns", "Attributes"):
        for head, text in entries(found.get(section, "")).items():
            kind = head.split(":", 1)[-1].strip()
            units = re.findall(r"\[([^\[\]]+)\]", text)
            if kind.startswith(NUMBER_WORDS):
                assert units, f"{section}: {head!r} has no [unit]"
            unknown = [u for u in units if u not in UNITS]
            assert not unknown, f"{section}: {head!r} has {unknown}, neither in the glossary nor allowed here"


@pytest.mark.parametrize("name", PHYSICS)
def test_a_name_of_the_glossary_has_one_unit(name):
    found = sections(PHYSICS[name])
    for section in ("Parameters", "Attributes"):
        for head, text in entries(found.get(section, "")).items():
            units = re.findall(r"\[([^\[\]]+)\]", text)
            for word in (w.strip() for w in head.split(":")[0].split(",")):
                if word in GLOSSARY and units:
                    assert GLOSSARY[word][0] in units, f"{word} is {GLOSSARY[word]}, got {units}"


PACKAGES = (
    "heatloss.balance",
    "heatloss.balance.network",
    "heatloss.catalogue",
    "heatloss.fuel",
    "heatloss.geometry",
    "heatloss.house",
    "heatloss.season",
    "heatloss.units",
    "heatloss.weather",
)


@pytest.mark.parametrize("package", PACKAGES)
def test_public_members_say_what_they_are(package):
    module = importlib.import_module(package)
    names = getattr(module, "__all__", [n for n, _ in public_members(module)])
    for name in names:
        member = getattr(module, name)
        if inspect.isfunction(member) or inspect.isclass(member):
            assert (member.__doc__ or "").strip(), f"{package}.{name}"
        if inspect.isclass(member):
            for method, function in inspect.getmembers(member, inspect.isfunction):
                own = function.__qualname__ == f"{member.__name__}.{method}" and not method.startswith("_")
                if own and function.__module__.startswith("heatloss"):
                    assert function.__doc__, f"{package}.{name}.{method}"


@pytest.mark.parametrize("name", [n for n in heatloss.__all__ if n[0].islower()])
def test_public_functions_document_what_goes_in_and_comes_out(name):
    function = getattr(heatloss, name)
    found = sections(function)
    assert documented(found["Parameters"]) == parameters(function)
    assert "Returns" in found
