"""The frame of surfaces and the U of each."""

from __future__ import annotations

import pytest
from bare_houses import house, part, shape

from heatloss import catalogue
from heatloss.geometry import surfaces
from heatloss.house import Layer

GABLE = shape("gable", length=12.0, width=6.0, eave=2.5, ridge=4.5, bearing=90.0)
FOAM = (Layer(r="RSI-2.0"),)


def test_columns_and_index():
    frame = surfaces(house(GABLE, part("vent", "south roof", area=1.5, u=2.9)))
    assert frame.index.name == "name"
    assert list(frame.columns) == ["part", "role", "area", "tilt", "azimuth", "u_value"]
    assert frame.loc["vent"].to_dict() == {
        "part": "vent",
        "role": "opaque",
        "area": pytest.approx(1.5),
        "tilt": pytest.approx(33.690067525979785),
        "azimuth": 180.0,
        "u_value": 2.9,
    }
    assert frame.loc["north wall", "u_value"] == catalogue.row("glazing", "polycarbonate twin-wall 8 mm")["u_value"]


def test_layers_with_films_by_the_way_the_heat_flows():
    """ISO 6946: 0.13 + 2 + 0.04 on a wall, 0.10 on a roof; two inside films to a house, one to the ground."""
    frame = surfaces(
        house(
            GABLE,
            part("wall", "north wall", layers=FOAM),
            part("roof", "north roof", layers=FOAM),
            part("house", "south wall", layers=FOAM, behind="house"),
            part("bank", "east end", layers=FOAM, behind="ground"),
        )
    )
    found = 1.0 / frame.loc[["wall", "roof", "house", "bank"], "u_value"]
    assert found.tolist() == pytest.approx([2.17, 2.14, 2.26, 2.13], rel=1e-12)


def test_layers_of_a_material():
    plywood = catalogue.row("materials", "plywood")["conductivity"]
    layers = (Layer(material="plywood", thickness=(12.0, "mm")), *FOAM)
    frame = surfaces(house(GABLE, part("wall", "north wall", layers=layers)))
    assert 1.0 / frame.loc["wall", "u_value"] == pytest.approx(0.13 + 0.012 / plywood + 2.0 + 0.04)
