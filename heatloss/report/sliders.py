"""Sliders over one house, for a notebook: move one, and see the fuel, the peak and the light of the changed house.

Every position of the sliders is an hourly balance of its own, in steps of an hour; sun and sky are worked out once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from io import BytesIO
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss import catalogue
from heatloss.balance.drivers import Site
from heatloss.decisions.sensitivity import LEVERS
from heatloss.fuel import trade_unit
from heatloss.report.measures import BTU_PER_KWH, MONTHS, Units, power
from heatloss.report.plots import HEATER, INK, SUN, style
from heatloss.report.text import amount_words
from heatloss.season import simulate

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from heatloss.house import House
    from heatloss.season import Season
    from heatloss.weather import Weather


Panel = tuple[str, str, str, Callable[["Season"], NDArray[np.float64]]]


class Slider(NamedTuple):
    """One slider: a lever of ``LEVERS``, its words, and its range in the reader's unit.

    ``si`` is what one of that unit is in the lever's own.
    """

    lever: str
    words: str
    low: float
    high: float
    step: float
    stands: float
    si: float


GALLON, DEGREE = 0.003785411784, 1.0 / 1.8
SLIDERS: dict[Units, tuple[Slider, ...]] = {
    "us": (
        Slider("water", "more water in the sun, gallons", 0.0, 2000.0, 100.0, 0.0, GALLON),
        Slider("u", "U-value of the glazing, times", 0.3, 1.5, 0.05, 1.0, 1.0),
        Slider("leakage", "air leaks, times", 0.1, 2.0, 0.05, 1.0, 1.0),
        Slider("setpoint", "setpoint up or down, °F", -10.0, 10.0, 1.0, 0.0, DEGREE),
    ),
    "si": (
        Slider("water", "more water in the sun, m3", 0.0, 8.0, 0.5, 0.0, 1.0),
        Slider("u", "U-value of the glazing, times", 0.3, 1.5, 0.05, 1.0, 1.0),
        Slider("leakage", "air leaks, times", 0.1, 2.0, 0.05, 1.0, 1.0),
        Slider("setpoint", "setpoint up or down, K", -6.0, 6.0, 0.5, 0.0, 1.0),
    ),
}
"""In the order in which they change the house, after the night curtain."""
AS_IT_IS, NO_CURTAIN = "as it is", "none"


class Sliders:
    """A house with sliders.

    Parameters
    ----------
    house : House
        With at least one heater.
    weather : Weather
    units : str
        ``"us"`` or ``"si"``.

    Attributes
    ----------
    base, now : Season
        The house as it is, and as the sliders stand.
    """

    def __init__(self, house: House, weather: Weather, *, units: Units = "us") -> None:
        self.house, self.units = house, units
        self._site = Site(weather)
        self._figure: Figure | None = None
        self.base = self.now = self._run(house)

    def move(self, curtain: str = AS_IT_IS, **places: float) -> Season:
        """Run the house with sliders at places in the reader's unit; those not named stand where the house is.

        ``curtain`` is a row of the catalogue, ``"none"`` or ``"as it is"``.

        Examples
        --------
        >>> from heatloss import read_weather, sample_house
        >>> sliders = Sliders(sample_house(), read_weather("chicago"))
        >>> sliders.move(u=0.8).fuel.amount < sliders.base.fuel.amount
        True
        """
        self.now = self._run(moved(hung(self.house, curtain), places, self.units))
        return self.now

    def words(self) -> str:
        """Fuel, peak and light, in brackets those of the house as it is."""
        found = [
            [
                amount_words(season.fuel.amount, season.fuel.unit, places=2 if step < 1.0 else 0),
                power(season.peak_w, self.units).split(" (")[0],
                f"{float(season.light.min()):.1f} mol a day",
            ]
            for season in (self.now, self.base)
            for step in [trade_unit(season.fuel.unit).step]
        ]
        labels = ("fuel", "highest hour", "light of the darkest month")
        return "; ".join(f"{label} {a} ({b})" for label, a, b in zip(labels, *found, strict=True))

    def draw(self, figure: Figure) -> Figure:
        """Draw heat and light of every month, the house as it is as an outline before it."""
        place = np.arange(12)
        for ax, (title, unit, colour, by_month) in zip(figure.subplots(1, 2), self._panels(), strict=True):
            ax.bar(place, by_month(self.now), color=colour, label="as the sliders stand")
            ax.bar(place, by_month(self.base), fill=False, edgecolor=INK, linewidth=1.0, label="as it is")
            ax.set_xticks(place, [MONTHS[m - 1][0] for m in self.now.months])
            ax.set_title(title)
            ax.set_ylabel(unit)
        figure.axes[1].legend(loc="upper center", fontsize="small")
        return figure

    def png(self) -> bytes:
        """The picture as a PNG file; what does not change is drawn up once."""
        from matplotlib.figure import Figure

        page = BytesIO()
        with style():
            if self._figure is None:
                self._figure = Figure(figsize=(7.0, 2.8))
                self._figure.subplots_adjust(left=0.08, right=0.99, bottom=0.1, top=0.9, wspace=0.2)
                self.draw(self._figure)
            for ax, (*_, by_month) in zip(self._figure.axes, self._panels(), strict=True):
                heights = by_month(self.now)
                for bar, height in zip(ax.containers[0], heights, strict=True):
                    bar.set_height(height)
                ax.set_ylim(0.0, 1.08 * max(*heights, *by_month(self.base), 1e-6))
            self._figure.savefig(page, format="png", dpi=80.0)
        return page.getvalue()

    def _panels(self) -> tuple[Panel, Panel]:
        """Title, unit, colour and figures by month of the two halves of the picture."""
        scale, unit = (BTU_PER_KWH / 1e6, "million Btu") if self.units == "us" else (1.0, "kWh")
        return (
            ("Heat of the heaters", unit, HEATER, lambda season: season.monthly["heat_kwh"].to_numpy() * scale),
            (
                "Light on floor and beds",
                "mol a day on a square metre",
                SUN,
                lambda season: season.light.to_numpy(),
            ),
        )

    def board(self) -> Any:
        """Sliders, words and picture as one widget (``ipywidgets``): a moved slider runs the year and redraws."""
        import ipywidgets as widgets

        words, picture = widgets.HTML(self.words()), widgets.Image(value=self.png(), format="png")
        wide = widgets.Layout(width="34em")
        made = {
            s.lever: widgets.FloatSlider(
                value=s.stands, min=s.low, max=s.high, step=s.step, description=s.words, continuous_update=False,
                style={"description_width": "16em"}, layout=wide, readout_format=".2f" if s.step < 1.0 else ".0f",
            )
            for s in SLIDERS[self.units]
        }  # fmt: skip
        curtain = widgets.SelectionSlider(
            options=[AS_IT_IS, NO_CURTAIN, *curtains(self.house)], value=AS_IT_IS, description="night curtain",
            continuous_update=False, style={"description_width": "16em"}, layout=wide,
        )  # fmt: skip

        def redraw(_: Any) -> None:
            stands = {s.lever: s.stands for s in SLIDERS[self.units]}
            places = {name: slider.value for name, slider in made.items() if slider.value != stands[name]}
            self.move(curtain.value, **places)
            words.value, picture.value = self.words(), self.png()

        for slider in (curtain, *made.values()):
            slider.observe(redraw, names="value")
        return widgets.VBox([curtain, *made.values(), words, picture])

    def _run(self, house: House) -> Season:
        return simulate(house, self._site, steps_per_hour=1, iterations=1)


def curtains(house: House) -> list[str]:
    """Night curtains of the catalogue, the one that insulates least first."""
    rows = [catalogue.row("curtains", name, house.own) for name in catalogue.names("curtains", house.own)]
    return [row.name for row in sorted(rows, key=lambda row: row["resistance"])]


def hung(house: House, curtain: str) -> House:
    """The house with this night curtain in place of its own, on all glazing where it has none."""
    if curtain == AS_IT_IS:
        return house
    own = house.tree().get("curtain", []) or [{}]
    return house.changed(curtain=[] if curtain == NO_CURTAIN else [{**c, "material": curtain} for c in own])


def moved(house: House, places: Mapping[str, float], units: Units) -> House:
    """The house with sliders at places in the reader's unit, in the order of ``SLIDERS``."""
    for slider in SLIDERS[units]:
        if slider.lever in places:
            house = LEVERS[slider.lever].house(house, places[slider.lever] * slider.si)
    return house
