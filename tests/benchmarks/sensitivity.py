"""How much the season moves with each term: one table, by ``python tests/benchmarks/sensitivity.py``.

Every row changes one thing of a house and runs the year again. The built-in house stands beside a bare 100 m2 twin-wall
house at 10 degC in Chicago, for which an independent calculation exists (last column, calculated apart from this
library); where the two differ, the reason stands in the notes below the table.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from typing import Any

from heatloss import House, read_weather, sample_house, simulate
from heatloss.weather import Weather

Change = Callable[[House], House]


def bare_house() -> House:
    """100 m2, walls of 2 m, roof of 25 deg, ridge east and west, 8 mm twin-wall, no fan, nothing inside."""
    return House(
        shape={
            "kind": "gable",
            "length": "16.67 m",
            "width": "6 m",
            "eave": "2 m",
            "ridge": (2.0 + 3.0 * math.tan(math.radians(25.0)), "m"),
            "bearing": "90 deg",
        },
        cover={"glazing": "polycarbonate twin-wall 8 mm", "bridging": 1.10, "soiling": 1.0, "condensate": 1.0},
        floor={"kind": "bare soil", "soil": "clay", "wall_thickness": "0.1 m"},
        air={"ach": 1.0},
        setpoint=[{"day": "10 degC", "vent": "27 degC"}],
        heater=[{"name": "heater", "fuel": "pellets", "efficiency": 0.8, "basis": "hhv"}],
    )


def with_tables(**tables: Any) -> Change:
    """Replace keys inside tables of the house, or whole lists."""

    def change(house: House) -> House:
        tree = house.tree()
        merged = {
            name: {**tree.get(name, {}), **value} if isinstance(value, dict) else value
            for name, value in tables.items()
        }
        return house.changed(**merged)

    return change


def air(ach: float) -> Change:
    """Another constant air exchange."""
    return lambda house: house.changed(air={"ach": ach})


def warmer(by: float) -> Change:
    """All heating setpoints moved."""

    def change(house: House) -> House:
        rows = [dict(row) for row in house.tree()["setpoint"]]
        for row, setpoint in zip(rows, house.setpoint, strict=True):
            row["day"], row["night"] = (setpoint.day + by, "degC"), (setpoint.night + by, "degC")
        return house.changed(setpoint=rows)

    return change


def north_wall(house: House) -> House:
    """An R-17 wall in place of the north glazing."""
    rest = [part for part in house.tree().get("part", []) if part["on"] != "north wall"]
    return house.changed(part=[*rest, {"name": "opaque north", "on": "north wall", "layers": [{"r": "RSI-3.0"}]}])


# words, change, per cent by the independent calculation for the bare house (calculated), or None
ROWS: list[tuple[str, Change, float | None]] = [
    ("air exchange 0.5 per hour (from 1.0)", air(0.5), -10.0),
    ("air exchange 2.0 per hour (from 1.0)", air(2.0), 20.0),
    ("setpoint 1 K higher", warmer(1.0), None),
    ("setpoint 3 K lower", warmer(-3.0), None),
    ("cover U 2.3 (triple-wall 16 mm)", with_tables(cover={"glazing": "polycarbonate triple-wall 16 mm"}), -39.0),
    ("cover U 5.7 (single glass)", with_tables(cover={"glazing": "glass single 3 mm"}), 60.0),
    ("night curtain", with_tables(curtain=[{"material": "energy curtain"}]), -30.0),
    ("north wall opaque, RSI 3", north_wall, -14.0),
    ("edge foam RSI 1.8 x 0.6 m", with_tables(floor={"edge": "RSI-1.8", "depth": "0.6 m"}), -4.0),
    ("inside films natural (no minimum)", with_tables(method={"films": "natural"}), -13.0),
    ("bars and joints 1.00", with_tables(cover={"bridging": 1.0}), None),
    ("sky at air temperature", with_tables(method={"sky": "outdoor"}), -24.0),
    ("sky by Swinbank (always clear)", with_tables(method={"sky": "swinbank"}), None),
    ("no sun at all", with_tables(method={"sun": "none"}), 79.0),
    ("isotropic sky light", with_tables(method={"sun": "isotropic"}), None),
    ("no vapour at all", with_tables(method={"latent": "none"}), None),
    ("vapour as a share of the sun", with_tables(method={"latent": "share"}), None),
    ("vapour by the regression", with_tables(method={"latent": "regression"}), None),
    ("nothing planted", with_tables(canopy={"share": 0.0}), None),
    ("planted all over, leaf area 3", with_tables(canopy={"share": 0.9, "leaf_area": 3.0}), None),
    ("ground by perimeter factor", with_tables(method={"ground": "f_factor"}), None),
    ("water tank 4 m3 in the sun", with_tables(water=[{"name": "tank", "volume": "4 m3"}]), -7.0),
]


def move(house: House, weather: Weather, base: float, change: Change) -> float:
    """Change of the season's heat in per cent."""
    return 100.0 * (simulate(change(house), weather).heat_kwh / base - 1.0)


LATENTS = ("none", "share", "regression", "leaves")


def by_latent() -> None:
    """The built-in house term by term for each word of the method: heat and paths of the season in kWh."""
    weather = read_weather("chicago")
    seasons = [simulate(sample_house().changed(method={"latent": word}), weather) for word in LATENTS]
    print(f"| kWh in the season |{'|'.join(f' {word} ' for word in LATENTS)}|\n|---|{'---:|' * len(LATENTS)}")
    words = dict.fromkeys(path for season in seasons for path in season.ledger.index)
    for path in words:
        print(f"| {path} |{'|'.join(f' {season.ledger.get(path, 0.0):,.0f} ' for season in seasons)}|")
    print(f"| peak, kW |{'|'.join(f' {season.peak_w / 1e3:.1f} ' for season in seasons)}|")


def main() -> None:
    """Print the table."""
    if "--latent" in sys.argv[1:]:
        by_latent()
        return
    weather = read_weather("chicago")
    built_in = sample_house()
    built_in = built_in.changed(air={"ach": 1.0}, heater=[{"name": "any", "type": "pellet boiler"}])
    houses = [built_in, bare_house()]
    bases = [simulate(house, weather).heat_kwh for house in houses]
    print(f"{'change':40s}{'built-in':>10s}{'bare 100 m2':>13s}{'calculated':>12s}")
    print(f"{'':40s}{bases[0]:>6.0f} kWh{bases[1]:>9.0f} kWh{'apart, %':>12s}")
    for words, change, apart in ROWS:
        moved = [move(house, weather, base, change) for house, base in zip(houses, bases, strict=True)]
        beside = "" if apart is None else f"{apart:+.0f}"
        print(f"{words:40s}{moved[0]:>+9.1f} %{moved[1]:>+11.1f} %{beside:>12s}")
    print(
        "\nThe built-in house has an opaque north wall, edge foam and a tank already: these rows change little there."
        "\nThe independent figures are for their own optics: light is taken up where it first falls, here part of the"
        "\nlow sun leaves through the far glazing, so the sun is worth less and every loss a little more. Theirs"
        "\ncounts vapour as a fixed share of the sun (without it: -15 %), ours balances it; without vapour there are no"
        "\nplants, nor the light they catch."
    )


if __name__ == "__main__":
    main()
