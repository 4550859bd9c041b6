"""A cord by its water: dry matter stays, heat by mass falls, the range is kept."""

from __future__ import annotations

import pytest

from heatloss import InputError, sample_house
from heatloss.catalogue import names, row
from heatloss.catalogue.wood import CORD_M3, cord_heat, seasoned
from heatloss.house.heating import appliance

MMBTU = 1.05505585262e9


@pytest.mark.parametrize("name", [n for n in names("fuels") if n.startswith("cordwood")])
def test_net_value_of_every_row_is_the_formula_at_its_own_moisture(name: str) -> None:
    wood = row("fuels", name)
    again = seasoned(wood, wood["moisture"])
    for field in ("mass_per_unit", "hhv", "lhv", "bulk_density"):
        assert again[field] == pytest.approx(wood[field], rel=2e-3)  # the row is rounded to 5 Btu/lb
    assert wood["mass_per_unit"] == pytest.approx(wood["bulk_density"] * CORD_M3, rel=1e-4)


def test_drier_wood_gives_more_net_heat_by_the_cord_and_the_same_gross() -> None:
    wood = row("fuels", "cordwood mixed hardwood")
    dry, green = seasoned(wood, 0.15), seasoned(wood, 0.45)
    gross = [w["mass_per_unit"] * w["hhv"] for w in (dry, wood, green)]
    net = [w["mass_per_unit"] * w["lhv"] for w in (dry, wood, green)]
    assert gross == pytest.approx([gross[0]] * 3)
    assert net[0] > net[1] > net[2]
    # 8,500 Btu/lb of dry wood times what is not water (calculated)
    assert green["hhv"] / 2326.0 == pytest.approx(8500 * 0.55, rel=1e-9)
    assert green["co2_biogenic"] == wood["co2_biogenic"]


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("white oak", 19.2, 28.0), ("red oak", 17.9, 22.0), ("aspen", 10.3, 18.0), ("douglas fir", 13.0, 26.5)],
)
def test_a_cord_is_a_range(name: str, low: float, high: float) -> None:
    """Million Btu a cord, lowest and highest of four firewood charts (read)."""
    found = [heat / MMBTU for heat in cord_heat(row("fuels", f"cordwood {name}"))]
    assert (found[0], found[2]) == pytest.approx((low, high), rel=0.01)
    assert found[0] < found[1] < found[2]


def test_the_moisture_of_a_house_file_reaches_the_fuel() -> None:
    stove = {"name": "stove", "type": "wood stove", "output": "20 kW", "moisture": 0.35}
    house = sample_house().changed(heater=[stove])
    assert appliance(house.heater[0], house).fuel["moisture"] == 0.35
    with pytest.raises(InputError, match=r"moisture must be left out for pellets"):
        sample_house().changed(heater=[{"name": "p", "type": "pellet stove", "moisture": 0.1}])
    with pytest.raises(InputError, match=r"^fuel must be cordwood where moisture is given, got 'pellets'"):
        seasoned(row("fuels", "pellets"), 0.1)
    with pytest.raises(InputError, match=r"^moisture must be between 0 and 0\.7"):
        seasoned(row("fuels", "cordwood ash"), 0.9)
