"""Curtains with air of their own above: when they close, what passes them, what they save, what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import PLAIN, box, gable, made, quick, weather, with_hours

from heatloss.balance.curtains import closed_curtains, hours_closed
from heatloss.errors import InputError

ENERGY = {"material": "energy curtain"}


def shut(**keys) -> tuple[np.ndarray, object]:
    house = gable(curtain=[{**ENERGY, **keys}])
    drivers = made(house)[1]
    return hours_closed(house.curtain[0], drivers).astype(bool), drivers


def test_hours_by_sun_clock_light_and_cold() -> None:
    night, drivers = shut()
    hour = np.asarray(drivers.index.hour)
    assert (night == ~drivers.daylight).all()
    assert shut(schedule="always")[0].all()
    assert (shut(close_at="17:00", open_at="08:00")[0] == ((hour >= 17) | (hour < 8))).all()
    assert (shut(close_at="10:00", open_at="15:00")[0] == ((hour >= 10) & (hour < 15))).all()
    assert (shut(sun_below="50 W/m2")[0] == (night | (drivers.ghi < 50.0))).all()
    assert (shut(cold_below="-10 degC")[0] == (night | (drivers.temp_air < -10.0))).all()


def test_closed_cloth_parts_the_air() -> None:
    """On a cold night the air over the cloth is far colder, and leaves by day are those of one air."""
    done = quick(gable(curtain=[{**ENERGY, "on": "roof"}]), steps_per_hour=2)
    upper = next(name for name in done.run.temperature if name.startswith("air over"))
    below, above = (done.run.temperature[name].to_numpy()[1:] for name in ("air", upper))
    cold = (done.hourly["outdoor"] < 0.0).to_numpy()
    night, noon = ~done.drivers.daylight & cold, done.drivers.daylight & cold
    assert np.median((below - above)[night]) > 3.0
    assert abs(np.median((below - above)[noon])) < 1.0
    outdoor = done.hourly["outdoor"].to_numpy()
    assert (above[night] > outdoor[night] - 6.0).all()


def test_vapour_passes_the_gap_alone() -> None:
    """A wider gap dries the house below and wets the cover: more water condenses by night."""
    held = {}
    for gap in (0.0, 0.01, 0.05):
        done = quick(gable(curtain=[{**ENERGY, "edge_leak": gap}]), steps_per_hour=2)
        night = ~done.drivers.daylight
        run = done.run
        condensed = np.minimum(run.lane_evaporated, 0.0)
        cover = [i for i, face in enumerate(run.network._moisture.faces) if face.node.endswith(" inside")]
        held[gap] = (run.humidity["air"].to_numpy()[1:][night].mean(), -condensed[night][:, cover].sum())
        assert run.water_closure <= 1e-9
    assert held[0.0][0] > held[0.01][0] > held[0.05][0]
    assert held[0.0][1] < held[0.01][1] < held[0.05][1]


def test_two_cloths_save_more_than_one() -> None:
    heats = [
        quick(gable(curtain=[{"material": m} for m in cloths])).heat_kwh
        for cloths in ((), ("energy curtain",), ("energy curtain", "blackout curtain"))
    ]
    assert heats[0] > heats[1] > heats[2]
    # Two faces the less exchange rays, two airs the more stand still: by no more than half again
    assert heats[1] - heats[2] < heats[0] - heats[1]


def test_savings_lie_in_the_bands_of_trials() -> None:
    """A year's saving of a closed house: plain cloths 20 to 45 per cent, aluminised ones more; trials, from memory."""
    bare = quick(gable()).heat_kwh
    saved = {m: 1.0 - quick(gable(curtain=[{"material": m}])).heat_kwh / bare for m in (
        "energy curtain", "aluminized screen", "insulated blanket")}  # fmt: skip
    assert 0.15 < saved["energy curtain"] < 0.45
    assert saved["energy curtain"] < saved["aluminized screen"] < 0.60
    assert saved["energy curtain"] < saved["insulated blanket"] < 0.70


def test_open_curtain_is_no_curtain_but_for_its_shade() -> None:
    """Drawn aside all winter, in the dark: the heat of the bare house, less what the mixing of the levels resists."""
    never = {**ENERGY, "close_at": "12:00", "open_at": "12:00"}
    house = gable(curtain=[never], method={"sun": "none"})
    assert not hours_closed(house.curtain[0], made(house)[1]).any()
    assert quick(house).heat_kwh == pytest.approx(quick(gable(method={"sun": "none"})).heat_kwh, rel=0.03)


def test_fixed_films_know_the_panel_form_alone() -> None:
    house = gable(curtain=[ENERGY], method=PLAIN)
    _, drivers, assembly = made(house)
    assert not closed_curtains(house, drivers)[0].levels
    assert not [name for name in assembly.network._nodes if name.startswith("air over")]
    assert quick(house).heat_kwh < quick(gable(method=PLAIN)).heat_kwh


def test_forms_agree_roughly() -> None:
    """Two ways to the same night: within 15 per cent of the season's heat."""
    still = with_hours(weather(), wind_speed=np.full(8760, 2.0))
    levels, panel = (quick(gable(curtain=[{**ENERGY, "form": f}]), still).heat_kwh for f in ("levels", "panel"))
    assert levels == pytest.approx(panel, rel=0.15)


# ---- bad input -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("curtains", "words"),
    [
        ([ENERGY, ENERGY, ENERGY], "curtains must be at most 2 under the same sides, got 3 on all."),
        ([{**ENERGY, "on": "roof"}, ENERGY], "curtains must not overlap in part, got two under"),
        ([{**ENERGY, "on": "p"}], "curtain must hang under a glazed side, got p, where no glazing is."),
    ],
)
def test_what_cannot_hang_is_refused_in_a_sentence(curtains, words) -> None:
    part = [{"name": "p", "on": "north wall", "u": "0.5 W/(m2 K)"}]
    on = [{**c, "on": "north wall"} if c.get("on") == "p" else c for c in curtains]
    words = words.replace("got p", "got north wall")
    with pytest.raises(InputError) as error:
        made(box(curtain=on, part=part))
    assert str(error.value).startswith(words)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"close_at": "17:00"}, "open_at must be given where close_at is given"),
        ({"open_at": "08:00"}, "close_at must be given where open_at is given"),
        (
            {"schedule": "always", "close_at": "17:00", "open_at": "08:00"},
            "close_at must be left out where schedule is",
        ),
        ({"close_at": "25:00", "open_at": "08:00"}, "close_at must be"),
        ({"form": "layers"}, "form must be"),
        ({"on": "north roof ridge"}, "on must be a side of this gable"),
        ({"edge_leak": 1.2}, "edge_leak must be"),
    ],
)
def test_curtain_keys_that_contradict(keys, words) -> None:
    with pytest.raises(InputError) as error:
        gable(curtain=[{**ENERGY, **keys}])
    assert words in str(error.value)
    assert str(error.value).count("must") == 1


@pytest.mark.parametrize("latent", [["leaves", "share"], "leaves, share", "both"])
def test_two_ways_to_count_vapour_cannot_be_typed(latent) -> None:
    with pytest.raises(InputError, match=r'method\.latent must be "leaves"') as error:
        gable(method={"latent": latent})
    assert str(error.value).count("\n") == 1  # how many faults; the fault
