"""The model's own coefficients and curtain reductions beside those that Mihara and Hayashi read on winter nights.

Run ``python tests/benchmarks/mihara.py``. Their fits k = a + b w (w wind in m/s; J. Agric. Meteorol. 35(1):13-19, 1979,
read) do not show their unit: in kcal/(m2 h K) they become the W/(m2 K) of the second table, so that ratios and slopes
over level are what can be compared. The house, the night and the curtain rows are the library's own defaults.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from heatloss import House, Weather, simulate
from heatloss.physics.films import STEFAN_BOLTZMANN

FITS = {
    ("glass", None): (4.41, 0.40),
    ("film", None): (4.87, 0.54),
    ("glass", "energy curtain"): (2.93, 0.10),
    ("glass", "polyethylene sheet"): (3.00, 0.16),
    ("film", "energy curtain"): (2.91, 0.14),
    ("film", "polyethylene sheet"): (3.15, 0.17),
}
"""Theirs by cover and curtain; their PVC curtain stands beside the energy curtain, the catalogue having no PVC sheet,
and their PVC cover beside wet polyethylene."""
GLAZING = {"glass": "glass single 3 mm", "film": "polyethylene single"}
KCAL = 1.163  # W in a kcal/h
WINDS = (0.5, 1.0, 2.0, 4.0)


def night(wind: float) -> Weather:
    """A year of one clear winter night at 0 degC, net sky -60 W/m2, wind as at the house."""
    index = pd.date_range("2001-01-01", periods=8760, freq="h")
    noon = np.where((index.hour >= 10) & (index.hour < 14), 50.0, 0.0)
    frame = pd.DataFrame(
        {"temp_air": 0.0, "relative_humidity": 85.0, "wind_speed": wind, "pressure": 101325.0, "ghi": noon, "dni": 0.0,
         "dhi": noon, "longwave_down": STEFAN_BOLTZMANN * 273.15**4 - 60.0},
        index=index,
    )  # fmt: skip
    return Weather.from_frame(frame, latitude=35.0, longitude=139.0, altitude=0.0, utc_offset=9.0)


def coefficient(cover: str, curtain: str | None, wind: float, *, tight: bool = False) -> float:
    """Loss through cover and bars by their area and the difference of the airs [W/(m2 K)]."""
    edges = {"edge_leak": 0.0} if tight else {}
    house = House(
        place={"shelter": "open"},
        shape={"kind": "gable", "length": "20 m", "width": "8 m", "eave": "2 m", "ridge": "4 m", "bearing": "90 deg"},
        cover={"glazing": GLAZING[cover]},
        air={"ach": 0.5},
        curtain=[{"material": curtain, "schedule": "always", **edges}] if curtain else [],
        setpoint=[{"day": "15 degC"}],
        method={"sun": "none"},
    )
    season = simulate(house, night(wind))
    now = season.hourly.iloc[-1]
    area = sum(surface.area for surface in season.geometry.surfaces)
    return float(-(now["cover"] + now["bridging"]) / area / (now["inside"] - now["outdoor"]))


def rows() -> list[tuple[str, float, float, float, float]]:
    """Name, our level at 1 m/s, our slope over that level, their level in W/(m2 K), their slope over level."""
    found = []
    for (cover, curtain), (a, b) in FITS.items():
        slope, level = np.polyfit(WINDS, [coefficient(cover, curtain, w) for w in WINDS], 1)
        name = cover if curtain is None else f"{cover} + {curtain}"
        found.append((name, level + slope, slope / (level + slope), KCAL * (a + b), b / (a + b)))
    return found


def main() -> None:
    """Print both tables."""
    table = {name: rest for name, *rest in rows()}
    print(f"{'at 1 m/s':28}{'ours':>8}{'slope/level':>13}{'theirs':>9}{'slope/level':>13}")
    for name, (ours, slope, theirs, their_slope) in table.items():
        print(f"{name:28}{ours:8.2f}{slope:13.3f}{theirs:9.2f}{their_slope:13.3f}")
    print(f"\n{'reduction by the curtain':28}{'ours':>8}{'edges tight':>13}{'theirs':>9}")
    for name in table:
        cover, plus, curtain = name.partition(" + ")
        if plus:
            bare = table[cover]
            tight = 1 - coefficient(cover, curtain, 1.0, tight=True) / coefficient(cover, None, 1.0)
            print(f"{name:28}{1 - table[name][0] / bare[0]:8.2f}{tight:13.2f}{1 - table[name][2] / bare[2]:9.2f}")


if __name__ == "__main__":
    main()
