"""What must hold for any house: resistance saves, order and cuts change nothing, size scales, nothing gives no heat."""

from __future__ import annotations

import functools

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from season_cases import TWIN, clamped, framed, free, made, quick, surface, weather, with_hours

from heatloss import House, Weather
from heatloss.errors import InputError, WeatherError

FEW = settings(max_examples=8)
GLAZINGS = (
    TWIN,
    "polyethylene single",
    "polyethylene double inflated IR",
    "glass single 4 mm",
    "acrylic twin-wall 16 mm",
)
PLACES = ("chicago", "golden", "sand_point")
GROUNDS = ("iso_13370", "outdoor", "f_factor")


def between(low: float, high: float):
    return st.floats(low, high, allow_subnormal=False).map(lambda x: round(x, 6))


@st.composite
def faces(draw) -> list[dict[str, object]]:
    """A convex body of free surfaces: two slopes, four walls, each of its own construction."""
    found = []
    places = [("south", 40.0, 180.0), ("north", 45.0, 0.0), ("s", 90.0, 180.0), ("n", 90.0, 0.0)]
    places += [("e", 90.0, 90.0), ("w", 90.0, 270.0)]
    for name, tilt, azimuth in places:
        area = draw(between(12.0, 40.0))
        kind = draw(st.sampled_from(["glass", "u", "layers"])) if name != "south" else "glass"
        made_of = {
            "glass": {"glazing": draw(st.sampled_from(GLAZINGS))},
            "u": {"u": (draw(between(0.2, 3.0)), "W/(m2 K)")},
            "layers": {
                "layers": [
                    {"material": draw(st.sampled_from(["plywood", "brick", "straw bale"])), "thickness": "5 cm"},
                    {"r": (draw(between(0.2, 4.0)), "m2 K/W")},
                ]
            },
        }[kind]
        found.append(surface(name, area, tilt, azimuth, **made_of))
    return found


@st.composite
def houses(draw) -> dict[str, object]:
    """The keys of a free house beside its surfaces."""
    return {
        "floor": {"kind": draw(st.sampled_from(["bare soil", "gravel", "concrete slab"]))},
        "air": {"ach": draw(between(0.1, 2.0))},
        "bed": [{"name": "b", "area": (draw(between(2.0, 20.0)), "m2"), "depth": "25 cm"}],
        "setpoint": [{"day": (draw(between(5.0, 16.0)), "degC"), "vent": "28 degC"}],
        "heater": [{"name": "stove", "type": draw(st.sampled_from(["pellet stove", "propane unit heater"]))}],
        "cover": {"bridging": draw(between(1.0, 1.2)), "frame": draw(between(0.0, 0.3))},
    }


# ---- more resistance -------------------------------------------------------------------------------------------------


@FEW
@given(faces(), houses(), st.floats(0.0, 5.0), st.floats(0.1, 6.0), st.sampled_from(GROUNDS))
def test_more_massless_resistance_never_raises_heat(surfaces, rest, r, more, ground) -> None:
    """Sun off, fixed films, constant setpoint, no boundary warmer than it; the part faces the outdoor air."""
    setpoint = 14.0
    used = clamped(8.0)
    heats = []
    for resistance in (0.01 + r, 0.01 + r + more):
        # brick inside and outside of the massless layer: the part keeps its mass
        wall = [
            {"material": "brick", "thickness": "6 cm"},
            {"r": (resistance, "m2 K/W")},
            {"material": "brick", "thickness": "6 cm"},
        ]
        house = free(
            [*surfaces[:-1], surface("w", 25.0, 90.0, 270.0, layers=wall)],
            **{**rest, "setpoint": [{"day": (setpoint, "degC")}]},
            method={"films": "fixed", "sun": "none", "sky": "outdoor", "ground": ground},
        )
        done = quick(house, used)
        for name in done.network.boundaries:
            value = done.network._boundaries[name]
            assume(np.max(value if isinstance(value, float) else value.array()) <= setpoint)
        heats.append(done.heat_kwh)
    assert heats[1] <= heats[0] * (1.0 + 1e-9)
    assert heats[1] < heats[0]


# ---- order and cuts --------------------------------------------------------------------------------------------------


@FEW
@given(faces(), houses(), st.randoms(use_true_random=False), st.sampled_from(PLACES))
def test_order_of_surfaces_changes_nothing(surfaces, rest, random, place) -> None:
    shuffled = list(surfaces)
    random.shuffle(shuffled)
    given_order = quick(free(surfaces, **rest), place)
    other = quick(free(shuffled, **rest), place)
    assert other.heat_kwh == pytest.approx(given_order.heat_kwh, rel=1e-9)
    assert other.ledger.to_numpy() == pytest.approx(given_order.ledger.to_numpy(), rel=1e-9, abs=1e-6)
    assert other.peak_w == pytest.approx(given_order.peak_w, rel=1e-9)


@FEW
@given(
    faces(), houses(), st.integers(0, 5), st.lists(between(0.1, 1.0), min_size=2, max_size=4), st.sampled_from(PLACES)
)
def test_splitting_a_plane_surface_changes_nothing(surfaces, rest, which, weights, place) -> None:
    whole = surfaces[which]
    area, total = whole["area"][0], sum(weights)
    pieces = [
        {**whole, "name": f"{whole['name']} {i}", "area": (area * w / total, "m2")} for i, w in enumerate(weights)
    ]
    for latent, tolerance in (("share", 1e-9), ("leaves", 1e-3)):  # wet faces answer one another an evaluation later
        method = {"latent": latent}
        one = quick(free(surfaces, **rest, method=method), place)
        cut = quick(free([*surfaces[:which], *pieces, *surfaces[which + 1 :]], **rest, method=method), place)
        assert cut.heat_kwh == pytest.approx(one.heat_kwh, rel=tolerance)
        most = one.ledger.abs().max()
        assert cut.ledger.to_numpy() == pytest.approx(one.ledger.to_numpy(), rel=1e-9, abs=tolerance * most)
        assert len(cut.network.chains) > len(one.network.chains)


# ---- size ------------------------------------------------------------------------------------------------------------


@FEW
@given(
    faces(),
    houses(),
    between(0.0, 900.0),
    st.one_of(st.none(), between(3.0, 12.0)),
    st.sampled_from(PLACES),
    st.sampled_from(["fan", "natural", "fixed"]),
)
def test_doubling_everything_doubles_the_heat(surfaces, rest, gains, output, place, form) -> None:
    def house(scale: float) -> House:
        given_heater = {**rest["heater"][0]} | ({} if output is None else {"output": (scale * output, "kW")})
        return free(
            [{**s, "area": (scale * s["area"][0], "m2")} for s in surfaces],
            **{
                **rest,
                "shape": {
                    "kind": "free",
                    "floor_area": (scale * 50.0, "m2"),
                    "perimeter": (scale * 30.0, "m"),
                    "volume": (scale * 120.0, "m3"),
                },
                "bed": [{**b, "area": (scale * b["area"][0], "m2")} for b in rest["bed"]],
                "gains": {"power": (scale * gains, "W")},
                "heater": [given_heater],
                "air": {**rest["air"], "doors": {"count": 20, "seconds": 30, "area": (scale * 2.0, "m2")}},
                "method": {"films": form},
            },
        )

    one, two = quick(house(1.0), place), quick(house(2.0), place)
    assert two.heat_kwh == pytest.approx(2.0 * one.heat_kwh, rel=1e-9)
    assert two.ledger.to_numpy() == pytest.approx(2.0 * one.ledger.to_numpy(), rel=1e-9, abs=1e-6)
    assert two.unmet["degree_hours"] == pytest.approx(one.unmet["degree_hours"], rel=1e-6, abs=1e-6)
    assert two.hand_kwh == pytest.approx(2.0 * one.hand_kwh, rel=1e-9)


@settings(max_examples=4)
@given(faces(), houses(), between(0.3, 6.0))
def test_two_tanks_and_a_house_of_twice_the_size_take_twice_the_heat(surfaces, rest, volume) -> None:
    """A tank's skin does not double with its water, so there are two; films fixed, the tanks in the shade."""

    def house(scale: int) -> House:
        tanks = [{"name": f"t{i}", "volume": (volume, "m3"), "in_sun": False} for i in range(scale)]
        return free(
            [{**s, "area": (scale * s["area"][0], "m2")} for s in surfaces],
            **{
                **rest,
                "shape": {
                    "kind": "free",
                    "floor_area": (scale * 50.0, "m2"),
                    "perimeter": (scale * 30.0, "m"),
                    "volume": (scale * 120.0, "m3"),
                },
                "bed": [{**b, "area": (scale * b["area"][0], "m2")} for b in rest["bed"]],
                "water": tanks,
                "method": {"films": "fixed"},
            },
        )

    one, two = quick(house(1)), quick(house(2))
    assert two.heat_kwh == pytest.approx(2.0 * one.heat_kwh, rel=1e-9)


# ---- no heat out of nothing ------------------------------------------------------------------------------------------


@FEW
@given(
    faces(),
    houses(),
    st.sampled_from(PLACES),
    st.sampled_from(["fan", "natural", "fixed"]),
    st.sampled_from(["perez", "none"]),
    st.sampled_from(GROUNDS),
    between(0.5, 20.0),
)
def test_setpoint_below_everything_takes_no_heat(surfaces, rest, place, form, sun, ground, below) -> None:
    method = {"films": form, "sky": "outdoor", "sun": sun, "ground": ground}
    trial = made(free(surfaces, **{**rest, "setpoint": [{"day": "0 degC"}], "method": method}), place)[2]
    lowest = min(float(np.min(b.array())) for b in trial.network._boundaries.values())
    assume(lowest - below > -90.0)
    done = quick(free(surfaces, **{**rest, "setpoint": [{"day": (lowest - below, "degC")}], "method": method}), place)
    for value in done.network._boundaries.values():
        assume(np.min(value.array()) > lowest - below)
    assert done.heat_kwh == 0.0
    assert done.peak_w == 0.0
    assert done.closure <= 1e-9


@FEW
@given(faces(), houses(), st.sampled_from(PLACES))
def test_every_house_closes_and_keeps_its_setpoint(surfaces, rest, place) -> None:
    done = quick(free(surfaces, **rest), place)
    assert done.closure <= 1e-9
    assert np.isfinite(done.hourly.to_numpy()).all()
    assert done.hourly["inside"].min() >= rest["setpoint"][0]["day"][0] - 1e-9
    assert (done.hourly["heat"] >= 0.0).all()
    assert abs(done.ledger.sum()) <= 1e-9 * done.ledger[done.ledger > 0].sum()


@FEW
@given(faces(), houses(), between(0.5, 4.0))
def test_warmer_setpoint_takes_more_heat(surfaces, rest, more) -> None:
    base = rest["setpoint"][0]["day"][0]
    heats = [
        quick(free(surfaces, **{**rest, "setpoint": [{"day": (t, "degC")}]})).heat_kwh for t in (base, base + more)
    ]
    assert heats[1] > heats[0]


# ---- NaN -------------------------------------------------------------------------------------------------------------


@functools.cache
def golden() -> pd.DataFrame:
    return weather("golden").hours


COLUMNS = ("temp_air", "relative_humidity", "wind_speed", "ghi", "dni", "dhi", "pressure", "opaque_cloud", "albedo")


@settings(max_examples=25)
@given(
    st.sampled_from(COLUMNS),
    st.integers(0, 8759),
    st.integers(1, 40),
    st.sampled_from([np.nan, np.inf, -np.inf, 1e9, -1e9]),
)
def test_nan_in_a_frame_is_refused_at_the_door(column, hour, count, value) -> None:
    frame = golden().drop(columns="temp_dew").copy()
    frame.iloc[hour : hour + count, frame.columns.get_loc(column)] = value
    with pytest.raises(WeatherError) as caught:
        framed(frame, "golden")
    text = str(caught.value)
    assert column in text
    assert "\n" not in text


@settings(max_examples=12)
@given(st.sampled_from([c for c in COLUMNS if c != "relative_humidity"]), st.integers(0, 8000), st.integers(2, 400))
def test_nan_past_the_door_never_comes_out(column, hour, count) -> None:
    values = golden()[column].to_numpy().copy()
    values[hour : hour + count] = np.nan
    broken: Weather = with_hours(weather("golden"), **{column: values})
    try:
        done = quick(free(), broken)
    except InputError:
        return
    assert np.isfinite(done.hourly.to_numpy()).all()
    assert np.isfinite(done.heat_kwh)
