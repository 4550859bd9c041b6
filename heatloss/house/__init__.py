"""The description of a house: frozen models, reading and writing of house files, the schema, the samples."""

from heatloss.house.contents import Bed, Canopy, Curtain, Water
from heatloss.house.entry import Fault, HouseError
from heatloss.house.fields import day_of_year, days
from heatloss.house.files import SAMPLES, read_house, sample_house, sample_text, template
from heatloss.house.models import (
    Air,
    Cover,
    Doors,
    Floor,
    FreeSurface,
    Gains,
    HeaterUse,
    Layer,
    Method,
    Obstacle,
    Part,
    Place,
    Setpoint,
    Space,
)  # fmt: skip
from heatloss.house.shape import Shape
from heatloss.house.sides import side_words, sides
from heatloss.house.whole import House

__all__ = [
    "SAMPLES",
    "Air",
    "Bed",
    "Canopy",
    "Cover",
    "Curtain",
    "Doors",
    "Fault",
    "Floor",
    "FreeSurface",
    "Gains",
    "HeaterUse",
    "House",
    "HouseError",
    "Layer",
    "Method",
    "Obstacle",
    "Part",
    "Place",
    "Setpoint",
    "Shape",
    "Space",
    "Water",
    "day_of_year",
    "days",
    "read_house",
    "sample_house",
    "sample_text",
    "side_words",
    "sides",
    "template",
]  # fmt: skip
