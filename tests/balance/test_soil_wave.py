"""A yearly wave dies away into a chain of soil cells as the closed form says."""

import numpy as np
import pytest

from heatloss.balance import Network
from heatloss.physics.ground import soil_temperature

CONDUCTIVITY, HEAT = 1.5, 2.0e6  # W/(m K), J/(m3 K)
MEAN, AMPLITUDE, COLDEST_DAY = 8.0, 12.0, 30.0


def soil_column(surface, cells, depth):
    """A square metre of soil under a given surface temperature, closed below."""
    thickness = depth / cells
    net = Network()
    net.boundary("surface", surface)
    last, conductance = "surface", 2.0 * CONDUCTIVITY / thickness
    for i in range(cells):
        net.node(f"{i}", capacity=HEAT * thickness, start=MEAN)
        net.link(last, f"{i}", conductance)
        last, conductance = f"{i}", CONDUCTIVITY / thickness
    return net, (np.arange(cells) + 0.5) * thickness


def test_damped_yearly_wave():
    # Kusuda and Achenbach 1965, ASHRAE Transactions 71 (from memory): the form tested in tests/physics/test_ground.py.
    days = np.arange(5 * 365) + 0.5
    surface = MEAN - AMPLITUDE * np.cos(2.0 * np.pi * (days - COLDEST_DAY) / 365.0)
    net, depths = soil_column(surface, cells=100, depth=20.0)
    run = net.run(len(days), step=86400.0, substeps=4)
    last_year = run.temperature.to_numpy()[-365:]
    end_of_day = np.arange(4 * 365 + 1, 5 * 365 + 1)
    for depth in (0.5, 1.1, 2.1, 5.1):
        i = int(np.abs(depths - depth).argmin())
        exact = soil_temperature(
            float(depths[i]),
            day=end_of_day.astype(float),
            mean=MEAN,
            amplitude=AMPLITUDE,
            diffusivity=CONDUCTIVITY / HEAT,
            coldest_day=COLDEST_DAY,
        )
        assert np.abs(last_year[:, i] - exact).max() < 0.02 * AMPLITUDE
        swing = 0.5 * np.ptp(last_year[:, i])
        assert swing == pytest.approx(AMPLITUDE * np.exp(-depths[i] / 2.743841), rel=0.02)  # damping depth, calculated
