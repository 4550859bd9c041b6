"""The head of EPW files: two editions of the design conditions, ground temperatures, and heads that lack them."""

from __future__ import annotations

import pytest

from heatloss.weather.epw import head

# Read: the sample's own head (ASHRAE Handbook of Fundamentals 2021, chapter 14).
CHICAGO = {
    "heating_996": -18.7,
    "heating_99": -16.0,
    "extreme_mean": -22.3,
    "extreme_sd": 3.8,
    "minimum_5_year": -25.1,
    "minimum_10_year": -27.3,
    "minimum_20_year": -29.5,
    "minimum_50_year": -32.3,
}


def test_chicago(sample) -> None:
    header = dict(sample("chicago").header)
    ground = header.pop("ground_temperatures")
    assert header == CHICAGO
    assert list(ground) == [0.5, 2.0, 4.0]
    assert ground[0.5][:3] == (-1.89, -3.06, -0.99)
    assert ground[4.0][-1] == 9.17
    assert all(len(months) == 12 for months in ground.values())


def test_northway(sample) -> None:
    header = sample("northway").header
    assert (header["heating_996"], header["heating_99"]) == (-45.0, -42.0)
    minima = [header[f"minimum_{years}_year"] for years in (5, 10, 20, 50)]
    assert minima == sorted(minima, reverse=True)
    assert minima[0] < header["extreme_mean"]


def test_older_edition_has_a_wet_bulb_more() -> None:
    lows = "-22.3,35.2,3.8,2.0,-25.1,36.7,-27.3,37.9,-29.5,39.0,-32.3,40.5"
    newer = f"DESIGN CONDITIONS,1,x,,Heating,1,-18.7,-16.0,Cooling,7,Extremes,10.9,9.3,8.4,{lows}"
    older = f"DESIGN CONDITIONS,1,x,,Heating,1,-18.7,-16.0,Cooling,7,Extremes,10.9,9.3,8.4,27.7,{lows}"
    assert head(newer) == head(older) == (CHICAGO, ())


@pytest.mark.parametrize(
    "line",
    [
        "DESIGN CONDITIONS,0",
        "DESIGN CONDITIONS,1,x,,Heating,1",
        "DESIGN CONDITIONS,1,x,,Heating,1,-16.0,-18.7,Extremes,1,2,3,4",
        "DESIGN CONDITIONS,1,x,,Heating,1,cold,colder,Extremes,10.9,9.3,8.4,-22,35,3,2,-27,36,-25,37,-29,39,-32,40",
    ],
)
def test_heads_that_say_nothing_or_nonsense(line: str) -> None:
    found, notes = head(line)
    assert found == {}
    assert notes == (
        "The head of the file gives no heating design temperature.",
        "The head of the file gives no 5 to 50-year minima.",
    )


def test_ground_temperatures_may_be_absent_or_cut() -> None:
    assert head("GROUND TEMPERATURES,0")[0] == {}
    assert head("GROUND TEMPERATURES,1,.5,,,,-1,-2,3")[0] == {}
    months = ",".join(str(n) for n in range(12))
    assert head(f"GROUND TEMPERATURES,1,.5,,,,{months}")[0] == {
        "ground_temperatures": {0.5: tuple(map(float, range(12)))}
    }
