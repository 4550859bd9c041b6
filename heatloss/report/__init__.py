"""What people read: text for a terminal, JSON and CSV for other programs, and the cautions that go with them."""

from __future__ import annotations

from heatloss.report.catalogue_text import catalogue_report
from heatloss.report.cautions import CAUTIONS
from heatloss.report.export import SEASON_SCHEMA, season_csv, season_data, season_json
from heatloss.report.text import season_report
from heatloss.report.weather_text import weather_report

__all__ = [
    "CAUTIONS",
    "SEASON_SCHEMA",
    "catalogue_report",
    "season_csv",
    "season_data",
    "season_json",
    "season_report",
    "weather_report",
]
