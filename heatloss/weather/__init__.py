"""Weather files of the common formats, read, checked and made into whole hours."""

from __future__ import annotations

from heatloss.weather.files import KINDS, read_weather
from heatloss.weather.record import Site
from heatloss.weather.samples import samples
from heatloss.weather.weather import Weather

__all__ = ["KINDS", "Site", "Weather", "read_weather", "samples"]
