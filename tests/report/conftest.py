"""A season made by hand: every figure is known, so the words around it can be tested apart from the model."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest

from heatloss.fuel import demand

LB = 0.45359237
MONTHS = [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]


class PlainRow:
    """A fuel row made by hand."""

    def __init__(self, name: str, unit: str, **fields: float) -> None:
        self.name, self._unit = name, unit
        self._fields = {"price": 280.0, "co2_fossil": 0.0, "co2_biogenic": 0.0, **fields}

    def __getitem__(self, field: str) -> float:
        return self._fields[field]

    def get(self, field: str, default: Any = None) -> Any:
        return self._fields.get(field, default)

    def text(self, field: str) -> str:
        return {"unit": self._unit}[field]


PELLETS = PlainRow(
    "pellets", "short_ton", mass_per_unit=2000 * LB, hhv=19.07e6, lhv=17.6e6, bag_mass=40 * LB,
    bulk_density=650.0, co2_biogenic=1650.0,
)  # fmt: skip
PROPANE = PlainRow("propane", "gallon", mass_per_unit=1.92, hhv=50.2e6, lhv=46.3e6, price=2.5, co2_fossil=5.76)
POWER = PlainRow("electricity", "kWh", mass_per_unit=1.0, hhv=3.6e6, lhv=3.6e6, price=0.15)


def hourly_frame(peak: float) -> pd.DataFrame:
    index = pd.date_range("2001-01-01", periods=8760, freq="h")
    hour = np.arange(8760)
    outdoor = 8.0 - 16.0 * np.cos(2 * np.pi * (hour - 360) / 8760) - 4.0 * np.cos(2 * np.pi * (hour - 3) / 24)
    heat = np.clip(14.0 - outdoor, 0.0, None) * 500.0
    heat[(index.month > 4) & (index.month < 10)] = 0.0
    heat *= peak / heat.max()
    frame = pd.DataFrame({"outdoor": outdoor, "inside": 14.0, "floor": 12.0, "heat": heat}, index=index)
    frame["tank perch tank"] = 10.0 + outdoor / 4.0
    frame["heater pellet boiler"] = heat
    frame["heater"] = heat
    frame["unmet"] = 0.0
    frame["sun"] = np.clip(np.sin(2 * np.pi * (hour - 6) / 24), 0.0, None) * 9000.0
    frame["gains"] = 150.0
    total = frame["heater"] + frame["sun"] + frame["gains"]
    for path, share in (("cover", 0.55), ("infiltration", 0.2), ("ground", 0.1), ("opaque", 0.08)):
        frame[path] = -share * total
    frame["storage"] = np.sin(2 * np.pi * (hour - 20) / 24) * 2000.0
    frame["vent"] = -(total * 0.07 + frame["storage"])
    return frame


PATHS = ["cover", "opaque", "infiltration", "ground", "vent", "sun", "heater", "gains", "storage"]


def make_season(*, fuels: int = 1, minimum_20_year: float | None = -29.0, peak: float = 14_100.0) -> SimpleNamespace:
    hourly = hourly_frame(peak)
    heat = hourly["heat"]
    burned = [demand(heat, fuel=PELLETS, efficiency=0.8, basis="hhv", price=None, heater="pellet boiler")]
    if fuels == 2:
        burned.append(demand(heat * 0.1, fuel=PROPANE, efficiency=0.78, basis="hhv", price=3.1, heater="backup"))
    if fuels == 0:
        burned = []
    by_month = hourly.groupby(hourly.index.month)
    monthly = pd.DataFrame(
        {
            "heat_kwh": by_month["heat"].sum() / 1000.0,
            "peak_w": by_month["heat"].max(),
            "outdoor": by_month["outdoor"].mean(),
            "inside": by_month["inside"].mean(),
            "unmet_hours": by_month["unmet"].agg(lambda k: (k > 0).sum()),
            **{path: by_month[path].sum() / 1000.0 for path in PATHS},
        }
    ).loc[MONTHS]
    if burned:
        monthly["fuel"], monthly["cost"] = burned[0].monthly["amount"], burned[0].monthly["cost"]
    design = {"file_996": 15_200.0}
    outdoor = {"file_996": -19.4, "file_99": -16.1, "file_coldest": -24.4}
    if minimum_20_year is not None:
        outdoor["place_minimum_20_year"] = minimum_20_year
        design["place_minimum_20_year"] = 18_900.0
    heater = {"name": "pellet boiler", "type": "pellet boiler", "efficiency": None, "basis": None}
    heaters = (SimpleNamespace(**heater, from_="10-01", to="04-30"),)
    return SimpleNamespace(
        house=SimpleNamespace(
            title="Larkfield greens and perch house",
            heater=heaters if fuels else (),
            water=(SimpleNamespace(name="perch tank", species="yellow perch"),),
            crop="lettuce",
            own=None,
            place=SimpleNamespace(design_temperature=None, minimum_20_year=minimum_20_year),
        ),
        weather=SimpleNamespace(
            site=SimpleNamespace(
                name="CHICAGO OHARE INTL AP", latitude=41.98, longitude=-87.92, altitude=205.0, utc_offset=-6.0,
                source="TMY3", kind="tmy3",
            ),
            design_temperatures=lambda: pd.Series({"file_996": -19.4, "file_99": -16.1, "file_coldest": -24.4}),
            notes=("Stamps moved to the start of the hour.",),
        ),
        geometry=SimpleNamespace(floor_area=81.75, perimeter=39.0, volume=230.0),
        hourly=hourly,
        heating=np.ones(8760, dtype=bool),
        monthly=monthly,
        heat_kwh=float(heat.sum() / 1000.0),
        peak_w=float(heat.max()),
        fuels=tuple(burned),
        fuel=burned[0] if burned else None,  # the real one refuses where there is no heater
        ledger=hourly[PATHS].sum() / 1000.0,
        closure=3e-13,
        unmet=pd.Series({"hours": 0.0, "degree_hours": 0.0, "lowest": 13.9}),
        out_of_dates=pd.Series({"hours": 0.0, "degree_hours": 0.0, "lowest": 9.0}),
        sources=pd.DataFrame(
            [
                ("glazing", "polycarbonate twin-wall 8 mm", "u_value", 3.3, "W/(m2 K)", "a sheet", "read", 3.0, 3.6),
                ("fuels", "pellets", "hhv", 19.07e6, "J/kg", "UConn Extension 2013", "read", 18.6e6, 20.0e6),
                ("fuels", "pellets", "unit", "short_ton", "1", "no source", "common practice", None, None),
            ],
            columns=["kind", "name", "field", "value", "unit", "source", "mark", "low", "high"],
        ),
        conductances=pd.Series({"cover": 420.0, "opaque": 60.0, "infiltration": 55.0, "ground": 30.0}),
        design=pd.Series(design),
        design_temperatures=outdoor,
        hand_kwh=34_800.0,
        assumptions=["The inside film is at least 4.0 W/(m2 K), since there are plants and fans."],
    )  # fmt: skip


@pytest.fixture(scope="session")
def made_season() -> SimpleNamespace:
    return make_season()


@pytest.fixture(scope="session")
def season_maker() -> Any:
    return make_season
