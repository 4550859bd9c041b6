"""Heat and vapour together: against an independent solution, both ledgers, fog, drying, steady states, lanes."""

from __future__ import annotations

import numpy as np
import pytest
from season_cases import SAMPLES, WEATHERS, box, made, quick, season
from vapour_oracle import MoistOracle, saturation_ratio

from heatloss import sample_house
from heatloss.balance import Network, run_lanes
from heatloss.errors import InputError, UnknownNameError
from heatloss.physics import moist_air

STEPS = 4
FILM = 1.0 / (1006.0 * 0.91)
PRESSURE = 101325.0


def varying(rng, low, high):
    return rng.uniform(low, high, STEPS) if rng.random() < 0.5 else float(rng.uniform(low, high))


def wet_house(seed: int, bodies: int):
    """Calls that build a small wet house: one or two levels of air, a cover, a floor, a tank or leaves, controls."""
    rng = np.random.default_rng(seed)
    cold = float(rng.uniform(-15.0, 8.0))
    outside = rng.uniform(0.0, 2.0, STEPS) + cold
    dew = saturation_ratio(cold, PRESSURE)
    links: list[tuple] = []
    calls: list[tuple] = [("boundary", ("outdoor", outside), {})]

    def tie(*pair, **options):
        calls.append(("link", pair, options))
        links.append(pair)
        return len(links) - 1

    def node(name, low, high):
        capacity = 0.0 if rng.random() < 0.3 else float(10 ** rng.uniform(low, high))
        calls.append(("node", (name,), {"capacity": capacity, "start": float(rng.uniform(cold + 2.0, 15.0))}))

    airs = ["air", "upper air"][:bodies]
    for name in airs:
        calls.append(("node", (name,), {"capacity": float(10 ** rng.uniform(5.0, 6.0)), "start": 11.0}))
    node("cover", 4.0, 5.0)
    node("floor", 5.0, 6.5)
    top = airs[-1]
    over = tie("cover", top, conductance=varying(rng, 100, 400), buoyant=(150.0, 180.0))
    under = tie("floor", "air", conductance=varying(rng, 100, 400), buoyant=(180.0, 60.0))
    tie("cover", "outdoor", conductance=varying(rng, 400, 2500))
    tie("cover", "floor", radiant=float(rng.uniform(1e-6, 4e-6)))
    leak = tie(top, "outdoor", conductance=varying(rng, 10, 60))
    mixing = tie("air", top, conductance=varying(rng, 20, 400)) if bodies == 2 else None
    calls.append(("source", ("floor", varying(rng, 0.0, 9000.0)), {}))
    calls.append(("heater", ("stove", "air"), {"setpoint": varying(rng, 6, 14), "capacity": varying(rng, 2e3, 3e4)}))
    vented = rng.random() < 0.6
    if vented:
        limit = varying(rng, 16.0, 20.0)
        calls.append(("vent", ("roof vent", top), {"limit": limit, "to": "outdoor", "capacity": 900.0}))
    for name in airs:
        calls.append(("moist_air", (name,), {"mass": varying(rng, 50, 300), "pressure": PRESSURE, "start": 0.006}))
    calls.append(("humidity", ("outdoor", rng.uniform(0.5, 1.0) * dew), {}))
    calls.append(("wet", ("cover", top), {"along": over, "factor": (0.0, FILM)}))
    calls.append(("wet", ("floor", "air"), {"along": under, "factor": (FILM * rng.uniform(0.1, 1.0), FILM)}))
    calls.append(("wet", ("air", "air", (0.0, 60.0)), {}))
    if rng.random() < 0.6:
        node("leaves", 4.0, 5.0)
        tie("leaves", "air", conductance=500.0)
        calls.append(("source", ("leaves", varying(rng, 0.0, 6000.0)), {}))
        calls.append(("wet", ("leaves", "air", (varying(rng, 0.02, 0.3), 0.4)), {}))
    calls.append(("air_flow", (top, "outdoor"), {"along": leak, "factor": 1.0 / 1006.0}))
    if mixing is not None:
        calls.append(("air_flow", ("air", top), {"along": mixing, "factor": 1.0 / 1006.0}))
    if vented:
        calls.append(("air_flow", (top, "outdoor"), {"vent": "roof vent"}))
    calls.append(("vapour", ("air", varying(rng, 0.0, 1e-3)), {}))
    if rng.random() < 0.5:
        calls.append(("vapour", ("air",), {"heater": "stove", "by_watt": 4e-8}))
    if rng.random() < 0.5:
        limit = varying(rng, 0.7, 0.95)
        calls.append(("dryer", ("air", "outdoor"), {"limit": limit, "capacity": varying(rng, 50.0, 800.0)}))
    return calls, float(rng.choice([900.0, 3600.0]))


def built(cls, calls):
    net = cls()
    for method, arguments, keywords in calls:
        getattr(net, method)(*arguments, **keywords)
    return net


def residuals(calls, run, step: float) -> tuple[np.ndarray, np.ndarray]:
    """How far a run in whole steps is from the independent equations, and from their water [kg/s], step by step."""
    oracle = built(MoistOracle, calls)
    signs = np.array([1.0] * len(oracle.heaters) + [-1.0] * len(oracle.vents))
    outer = oracle.outer["outdoor"]
    worst, water = [], []
    for i in range(STEPS):
        w = run.lane_humidity[i + 1]
        dried = run.lane_carried[i, len(oracle.flows) :]
        air = [c / (w[list(oracle.airs).index(d[0])] - outer) for c, d in zip(dried, oracle.dryers, strict=True)]
        ends = (run.lane_temperature[i], run.lane_humidity[i], run.lane_temperature[i + 1], w)
        rest, faces = oracle.residual(i, step, *ends, signs * run.lane_power[i], air)
        worst.append(np.abs(rest).max())
        water.append(np.abs(run.lane_evaporated[i] - faces).max())
    return np.array(worst), np.array(water)


@pytest.mark.parametrize("bodies", [1, 2])
def test_engine_fulfils_the_coupled_equations_once_it_has_settled(bodies) -> None:
    """With 200 evaluations a step: every equation within 1e-8 K, g/kg or kW, and the water within 1e-11 kg/s.

    The answer need not be the only one: air that dries by venting gets colder and so the moister by its relative
    humidity. A few networks go back and forth by some tenths of a kelvin where fog is just about to form; those are
    left out, and counted.
    """
    settled = 0
    for seed in range(60):
        calls, step = wet_house(100 * bodies + seed, bodies)
        net = built(Network, calls)
        run, again = (net.run(STEPS, step=step, iterations=count) for count in (200, 201))
        assert run.closure <= 1e-9
        assert run.water_closure <= 1e-9
        assert np.abs(run.lane_evaporated).max() > 1e-6  # something was wet
        if np.abs(run.lane_temperature - again.lane_temperature).max() > 1e-9:
            continue
        settled += 1
        worst, water = residuals(calls, run, step)
        assert worst.max() < 1e-8, seed
        assert water.max() < 1e-11, seed
    assert settled >= 56


# ---- whole houses ----------------------------------------------------------------------------------------------------

LATENTS = ("leaves", "regression")


@pytest.mark.parametrize("place", WEATHERS)
@pytest.mark.parametrize("house", SAMPLES)
def test_water_closes_for_every_sample_on_every_weather(house, place) -> None:
    """Transpired and evaporated = condensed + carried out + kept in the air, in every hour and over the year."""
    done = season(house, place)
    assert done.run.water_closure <= 1e-9
    terms = done.run.water_terms
    total = {word: float(flow.sum()) * 3600.0 for word, flow in terms.items()}
    assert total["evaporation"] > 100.0  # kg
    assert total["condensation"] < 0.0
    assert abs(sum(total.values())) <= 1e-9 * total["evaporation"]


@pytest.mark.parametrize("latent", [*LATENTS, "share", "none"])
def test_both_ledgers_close_for_every_word(latent) -> None:
    done = quick(sample_house().changed(method={"latent": latent}))
    assert done.closure <= 1e-9
    assert done.run.water_closure <= 1e-9
    assert bool(done.run.network._moisture.airs) == (latent in LATENTS)


@pytest.mark.parametrize("latent", LATENTS)
def test_latent_heat_is_that_of_the_water(latent) -> None:
    """Given an evaluation later than the water is booked, it may differ in an hour; over the year by 0.1 % at most."""
    done = quick(sample_house().changed(method={"latent": latent}), steps_per_hour=4)
    run = done.run
    ends = run.temperature[[face.node for face in run.network._moisture.faces]].to_numpy()
    each = np.asarray(moist_air.latent_heat(0.5 * (ends[1:] + ends[:-1])))
    heat, water = run.lane_latent.sum(axis=0), (each * run.lane_evaporated).sum(axis=0)
    assert -heat.sum() == pytest.approx(water.sum(), rel=1e-3)
    most = np.abs(water).max()
    np.testing.assert_allclose(-heat, water, rtol=3e-3, atol=1e-3 * most)


def test_fog_falls_out() -> None:
    """Hot shut houses full of leaves: at a quarter of an hour the air never holds 2 % more than it can."""
    wet = box(cover={"glazing": "glass single 3 mm"}, canopy={"share": 0.9, "leaf_area": 3.0})
    for done in (quick(wet, steps_per_hour=4), season("larkfield"), season("dome", "sand_point")):
        run = done.run
        for i, name in enumerate(run.humidity):
            temps = run.temperature[name].to_numpy()[1:]
            full = np.asarray(moist_air.humidity_ratio(temps, 100.0, done.drivers.pressure))
            assert (run.lane_humidity[1:, i] / full).max() < 1.02, name


def test_lanes_agree_to_the_last_bit_with_moisture() -> None:
    """Sixteen wet houses side by side, one curtain each, and one at a time."""
    networks = []
    for i in range(16):
        limit = {"day": (8.0 + 0.2 * i, "degC"), "vent": "24 degC", "humidity": 0.7 + 0.01 * i}
        house = box(
            curtain=[{"material": "energy curtain", "edge_leak": 0.01 + 0.002 * i}],
            canopy={"share": 0.5, "leaf_area": 0.5 + 0.1 * i},
            water=[{"name": "t", "volume": "1 m3"}],
            setpoint=[limit],
        )
        networks.append(made(house)[2].network)
    given = {"substeps": 4, "first": 24 * 60}
    lanes = run_lanes(networks, 72, **given)
    for i in (0, 7, 15):
        alone = networks[i].run(72, **given)
        for part in ("temperature", "power", "flow", "humidity", "evaporated", "latent", "carried"):
            assert (getattr(lanes[i], f"lane_{part}") == getattr(alone, f"lane_{part}")).all(), part
    assert len({float(lane.lane_humidity[-1, 0]) for lane in lanes}) == 16


def test_network_run_again_gives_its_water_to_the_last_bit() -> None:
    done = season()
    again = done.network.run(len(done.hourly), substeps=4)
    assert (again.lane_humidity == done.run.lane_humidity).all()
    assert (again.lane_evaporated == done.run.lane_evaporated).all()


# ---- small cases with a known answer ---------------------------------------------------------------------------------


def room(*, humidity: float = 0.004, mass: float = 100.0) -> Network:
    """Air of 20 degC over outdoor air of 0 degC and a given humidity, 50 W/K apart, a leak of 0.02 kg/s."""
    net = Network()
    net.boundary("outdoor", 0.0)
    net.node("air", capacity=1e5, start=20.0)
    net.link("air", "outdoor", 50.0)
    net.heater("stove", "air", setpoint=20.0)
    net.moist_air("air", mass=mass, start=0.008)
    net.humidity("outdoor", humidity)
    net.air_flow("air", "outdoor", 0.02)
    return net


def test_steady_humidity_is_sources_over_flow() -> None:
    net = room()
    net.vapour("air", 1e-4)
    assert net.steady().humidity["air"].iloc[-1] == pytest.approx(
        0.004 + 1e-4 / 0.02, rel=1e-5
    )  # a milligram of air is left
    run = net.run(400, step=3600.0)
    assert run.humidity["air"].iloc[-1] == pytest.approx(0.009, rel=1e-9)
    assert run.closure <= 1e-9


def test_humidity_without_a_source_decays_as_the_time_scheme_says() -> None:
    """Backward Euler: each step leaves 1 / (1 + 0.02 x 900 / 100) of the excess."""
    run = room().run(5, step=900.0)
    excess = run.humidity["air"].to_numpy() - 0.004
    assert excess == pytest.approx(0.004 / 1.18 ** np.arange(6), rel=1e-12)


def test_flame_gives_vapour_by_its_heat() -> None:
    """Propane: 1.62 kg of water for 50.3 MJ of gross heat (calculated from C3H8 + 5 O2)."""
    by_watt = 1.634 / 50.3e6
    net = room()
    source = net.vapour("air", heater="stove", by_watt=by_watt)
    run = net.run(300, step=3600.0)
    assert run.power["stove"].iloc[-1] == pytest.approx(1000.0, rel=1e-9)
    assert run.vapour_given(source)[-1] == pytest.approx(1000.0 * by_watt, rel=1e-12)
    assert run.humidity["air"].iloc[-1] == pytest.approx(0.004 + 1000.0 * by_watt / 0.02, rel=1e-9)


def test_drying_vent_holds_its_limit_and_costs_what_its_air_takes() -> None:
    """Steady: the air stays at the limit, its flow carries the water off, and takes m c_p dT of heat."""
    net = room()
    net.vapour("air", 5e-4)
    link = net.dryer("air", "outdoor", limit=0.7, capacity=1e4)
    dry = room().run(300, step=3600.0).power["stove"].iloc[-1]
    run = net.run(300, step=3600.0)
    held = 0.7 * saturation_ratio(20.0, PRESSURE)
    assert run.humidity["air"].iloc[-1] == pytest.approx(held, rel=1e-9)
    air = (5e-4 - 0.02 * (held - 0.004)) / (held - 0.004)
    assert run.lane_carried[-1, 1] == pytest.approx(air * (held - 0.004), rel=1e-9)
    assert run.lane_flow[-1, link] == pytest.approx(air * 1006.0 * 20.0, rel=1e-9)
    assert run.power["stove"].iloc[-1] - dry == pytest.approx(air * 1006.0 * 20.0, rel=1e-9)


@pytest.mark.parametrize(("humidity", "capacity"), [(0.004, 2.0), (0.014, 1e4)])
def test_drying_vent_at_its_capacity_or_against_moist_air(humidity, capacity) -> None:
    net = room(humidity=humidity)
    net.vapour("air", 5e-4)
    link = net.dryer("air", "outdoor", limit=0.7, capacity=capacity)
    run = net.run(300, step=3600.0)
    expected = capacity * 20.0 if humidity < 0.01 else 0.0  # outdoor air above the limit dries nothing
    assert run.lane_flow[-1, link] == pytest.approx(expected, rel=1e-9)
    assert run.humidity["air"].iloc[-1] > 0.7 * saturation_ratio(20.0, PRESSURE)


def test_thin_wet_face_comes_to_its_wet_bulb() -> None:
    """A massless leaf without light: c_p (T - T_w) Le = L (w_s(T_w) - w), the wet bulb with Lewis's factor."""
    net = Network()
    net.boundary("outdoor", 20.0)
    net.node("air", capacity=1e9, start=20.0)
    net.node("leaf")
    net.link("air", "outdoor", 1e6)
    film = net.link("leaf", "air", 10.0)
    net.moist_air("air", mass=1e9, start=0.006)
    net.humidity("outdoor", 0.006)
    net.air_flow("air", "outdoor", 1e6)
    net.wet("leaf", "air", along=film, factor=FILM)
    leaf = float(net.run(3, iterations=20).temperature["leaf"].iloc[-1])
    latent = 2.501e6 - 2361.0 * leaf
    assert 1006.0 * 0.91 * (20.0 - leaf) == pytest.approx(latent * (saturation_ratio(leaf, PRESSURE) - 0.006), rel=2e-5)
    assert 11.0 < leaf < 14.0


def test_vapour_that_condenses_warms_the_face() -> None:
    """Air of 12 degC and 90 % at a face of 4 degC with 4 W/(m2 K): 0.0442 kg/m2 an hour, 30.6 W/m2 of latent heat and
    32 of sensible; calculated.
    """
    net = Network()
    for name, temp in (("outdoor", 4.0), ("room", 12.0)):
        net.boundary(name, temp)
    net.node("air", capacity=1e3, start=12.0)
    net.node("face", capacity=1e3, start=4.0)
    net.link("air", "room", 1e7)
    net.link("face", "outdoor", 1e7)
    film = net.link("face", "air", 4.0)
    ratio = float(np.asarray(moist_air.humidity_ratio(12.0, 90.0, PRESSURE)))
    net.moist_air("air", mass=10.0, start=ratio)
    net.humidity("room", ratio)
    net.air_flow("air", "room", 1e5)
    net.wet("face", "air", along=film, factor=(0.0, FILM))
    run = net.run(50)
    assert -3600.0 * run.lane_evaporated[-1, 0] == pytest.approx(0.0442, abs=0.0002)
    assert run.lane_latent[-1, 0] == pytest.approx(30.6, abs=0.1)
    assert run.flow("air", "face")[-1] == pytest.approx(32.0, abs=0.05)


# ---- bad input -------------------------------------------------------------------------------------------------------


def test_what_is_not_there_is_named() -> None:
    net = room()
    for call, words in (
        (lambda: net.moist_air("attic", mass=1.0), "node must be a known name, got 'attic'"),
        (lambda: net.wet("air", "attic"), "moist air must be a known name, got 'attic'"),
        (lambda: net.air_flow("air", "sky"), "moist air must be a known name, got 'sky'"),
        (lambda: net.air_flow("air", "outdoor", vent="roof"), "vent must be a known name, got 'roof'"),
        (lambda: net.vapour("air", heater="boiler"), "heater must be a known name, got 'boiler'"),
        (lambda: net.dryer("air", "air", limit=0.8, capacity=1.0), "moist air must be a known name, got 'air'"),
        (lambda: net.humidity("sky", 0.004), "boundary must be a known name, got 'sky'"),
    ):
        with pytest.raises(UnknownNameError) as error:
            call()
        assert str(error.value).startswith(words)


def test_impossible_numbers_are_refused() -> None:
    net = room()
    for call, words in (
        (lambda: net.moist_air("air", mass=1.0), "moist air must be new, got 'air', which is declared already."),
        (lambda: net.wet("air", "air", -1.0), "conductance of the wet face at 'air' must be >= 0 and finite [kg/s]"),
        (lambda: net.wet("air", "air", along=99), "link of the wet face at 'air' must be the number of a declared"),
        (lambda: net.humidity("outdoor", float("nan")), "humidity of 'outdoor' must be >= 0 and finite [kg/kg]"),
        (lambda: net.dryer("air", "outdoor", limit=-0.1, capacity=1.0), "limit of the drying vent of 'air' must be"),
    ):
        with pytest.raises(InputError) as error:
            call()
        assert str(error.value).startswith(words)
