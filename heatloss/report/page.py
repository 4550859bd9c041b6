"""The report as one page: tons, cost, heater size and the next dollar, then pictures, tables and what was assumed.

One HTML file holds everything: styles, and pictures as drawings within the page. It has no script and asks the network
for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from heatloss.decisions.measures import read_measures
from heatloss.decisions.payback import Weighed, weigh
from heatloss.decisions.sizing import HeaterSize, size_heater
from heatloss.decisions.spread import spread
from heatloss.report import heater_text, payback_text, pictures, tables, text
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.living import living_words
from heatloss.report.measures import BTU_PER_KWH, Units, fixed, money, power
from heatloss.report.spread_text import Sureness
from heatloss.report.tables import Table
from heatloss.season import Season, simulate

if TYPE_CHECKING:
    from heatloss.fuel import Fuel
    from heatloss.house import House
    from heatloss.weather import Weather


DRAWS = 128
"""Winters and houses drawn for the range of the fuel, as the command ``season`` does."""


class Answer(NamedTuple):
    """One of the first screen's four answers: what was asked, the answer, and what goes with it."""

    asked: str
    answer: str
    beside: str


class Found(NamedTuple):
    """What was worked out of a house; None where the house has no heater or no setpoint to ask about."""

    season: Season
    sure: Sureness | None
    size: HeaterSize | None
    weighed: Weighed | None


class Facts(NamedTuple):
    """Labels with what belongs to them, under a line of their own."""

    title: str
    facts: list[tuple[str, str]]
    kind: str = "facts"


class Words(NamedTuple):
    """Sentences, as paragraphs where they are few and as a list where they are many; perhaps under a title."""

    sentences: list[str]
    title: str = ""
    kind: str = "words"


class Section(NamedTuple):
    """A heading and what stands under it."""

    anchor: str
    title: str
    parts: list[Facts | Words | Table]


def report_page(
    house: House, weather: Weather, measures: str | Path | None = None, *, units: Units = "us", sample: bool = False
) -> str:
    """Write the report of a house as one HTML page.

    Parameters
    ----------
    house : House
    weather : Weather
    measures : path, optional
        A file of measures to weigh; without it the starter measures, whose costs are examples.
    units : str
        ``"us"`` or ``"si"``: the units that come first, and those of the pictures.
    sample : bool
        Whether the house is a built-in one: the page then says so at its head and foot.

    Returns
    -------
    str
        A whole document.

    Raises
    ------
    InputError
        For a house or a list of measures that fails.

    Notes
    -----
    A house without a heater has no fuel and no payback; one without a setpoint has no heater size. What is asked of the
    house beside its season is worked out side by side, while the pictures are drawn.
    """
    taken = read_measures(measures) if measures is not None else None
    season = simulate(house, weather)
    with ThreadPoolExecutor() as pool:
        weighing = pool.submit(weigh, house, weather, taken) if house.heater else None
        ranging = pool.submit(_sure, season) if house.heater else None
        sizing = pool.submit(size_heater, house, weather) if house.setpoint else None
        drawn = pictures.of_the_season(season, units)
        found = Found(
            season,
            None if ranging is None else ranging.result(),
            None if sizing is None else sizing.result(),
            None if weighing is None else weighing.result(),
        )
    drawn += pictures.of_the_rest(season, found.sure, found.weighed, units)
    page: str = _template().render(
        title=season.house.title or "A house without a title",
        place=text.place_words(season, units),
        note=text.SAMPLE_NOTE if sample else "",
        answers=list(_answers(found, units)),
        warnings=list(_warnings(season)),
        pictures=drawn,
        colours=pictures.COLOURS,
        sections=list(_sections(found, units)),
        cautions=[*CAUTIONS, SIZING_CAUTION],
        version=_version(),
    )
    return page


def next_dollar(weighed: Weighed) -> str | None:
    """Name of the measure whose money earns most: of those that cost something and are worth it, the highest return.

    Measures that are weighed by themselves, such as another heater or half a house, are not among them.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> foam = {"name": "foam", "set": {"floor": {"depth": "3 ft"}}, "cost": "1 usd", "life": 30}
    >>> next_dollar(weigh(sample_house(), read_weather("chicago"), [foam]))
    'foam'
    """
    rows = weighed.table.loc[_usual(weighed)]
    worth = rows[(rows["price"] > 0.0) & (rows["npv"] > 0.0) & rows["irr"].notna()]
    return str(worth["irr"].idxmax()) if len(worth) else None


def _usual(weighed: Weighed) -> list[str]:
    """Measures that a house may have beside others."""
    return [measure.name for measure in weighed.measures if not measure.alone]


def _template() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = Path(__file__).with_name("templates")
    loader = FileSystemLoader(folder, encoding="utf-8")
    made = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return made.get_template("page.html")


def _version() -> str:
    import heatloss

    return heatloss.__version__


def _sure(season: Season) -> Sureness:
    """The range of the fuel by draws at one-hour steps, as the command ``season`` prints it."""
    return Sureness(spread(season.house, season.weather, season=season, n=DRAWS, steps_per_hour=1, iterations=1))


def _answers(found: Found, units: Units) -> Iterator[Answer]:
    """What the first screen says."""
    fuels = found.season.fuels
    if fuels:
        amount, beside = text.fuel_headline(fuels[0], units).split(" of ", 1)
        facts = [words for label, words in text.fuel_facts(fuels[0], units, found.sure) if label.startswith("8 ")]
        others = f" And for the other heaters: {len(fuels) - 1} more below." if len(fuels) > 1 else ""
        yield Answer(
            "Fuel for the winter", amount, f"of {beside}. Eight chances in ten: {facts[0].split(' (')[0]}.{others}"
        )
        yield Answer("Cost", money(sum(f.cost for f in fuels)), _price_words(fuels))
    if found.size is not None:
        size = found.size
        first, _, other = power(size.recommended_w, units).partition(" (")
        verdict = dict(heater_text.size_facts(size, units)).get("in the house file", "")
        fitted = f" The house file has {verdict}." if verdict else ""
        complete = "" if size.complete else " Incomplete: the 20-year minimum is missing."
        yield Answer("Heater size", first, f"{other.rstrip(')')} of heat into the house.{complete}{fitted}")
    if found.weighed is not None:
        yield _next(found.weighed)


def _price_words(fuels: tuple[Fuel, ...]) -> str:
    words = [dict(text.fuel_facts(fuel, "us"))["cost"].partition(" at ")[2].replace("  ", " ") for fuel in fuels]
    return "; ".join(f"at {word}" for word in dict.fromkeys(words))


def _next(weighed: Weighed) -> Answer:
    name = next_dollar(weighed)
    alone = weighed.table.loc[_usual(weighed)].to_dict("index")
    free = {n: row["saving"] for n, row in alone.items() if row["price"] == 0.0 and row["saving"] > 0.0}
    first = "".join(f" For nothing: {n}, {money(saving)} a year." for n, saving in free.items())
    if name is None:
        return Answer("The next dollar", "none of these", f"No measure that costs money is worth it here.{first}")
    row = alone[name]
    light = f", keeps out {100.0 * row['light_lost']:.0f} % of the light" if row["light_lost"] >= 0.005 else ""
    example = " EXAMPLE cost; type yours." if weighed.examples else ""
    return Answer(
        "The next dollar", name,
        f"costs {money(row['price'])}, saves {money(row['saving'])} a year, pays in {row['payback_years']:.1f} "
        f"years{light}.{example}{first}",
    )  # fmt: skip


def _warnings(season: Season) -> Iterator[str]:
    if not season.fuels:
        yield "The house file has no heater: no fuel is burned."
    hours = season.unmet["hours"]
    if season.fuels and hours > text.MANY_HOURS:
        yield f"HEATER TOO SMALL: {hours:,.0f} hours below the setpoint; this fuel does not hold it."
    for _, lines in living_words(season, "us"):
        yield from (line for _, line in lines if line.startswith("WARNING"))


def _sections(found: Found, units: Units) -> Iterator[Section]:
    season, sure = found.season, found.sure
    other: Units = "si" if units == "us" else "us"
    names = {"us": "US units", "si": "SI units"}
    if season.fuels:
        facts = [
            Facts(text.fuel_headline(f, units), [*text.fuel_facts(f, units, sure if f is season.fuels[0] else None)])
            for f in season.fuels
        ]
        yield Section("fuel", "Fuel, cost and store", [*facts, Words(list(text.outside_the_dates(season, units)))])
    if found.size is not None:
        yield Section("heater", "How big a heater", _size_parts(found.size, units))
    if found.weighed is not None:
        yield Section("money", "What pays", _money_parts(found.weighed, units, other))
    months = [(u, tables.month_table(season, u)) for u in (units, other)]
    yield Section("months", "Month by month", [t._replace(caption=f"{t.caption}, {names[u]}") for u, t in months])
    flows = tables.flow_tables(season, units)
    if flows:
        losses, gains = flows
        sides = [losses._replace(caption="What takes heat out", note=""), gains._replace(caption="What makes it up")]
        yield Section("flows", losses.caption, [*sides])
    living = [Words([line for _, line in lines], title) for title, lines in living_words(season, units)]
    if living:
        yield Section("living", "Fish and crop", [*living])
    yield Section("assumed", "What was assumed", [Words(list(text.assumed(season, sure))), _sources(season)])
    yield Section("checks", "Checks and closure", [Words(list(_checks(season, units))), _ledger(season, units)])


def _size_parts(size: HeaterSize, units: Units) -> list[Facts | Words | Table]:
    sizes, aside = heater_text.load_rows(size, units)
    head = (("", ""), ("load", ""), ("outdoors", ""), ("temperature from", ""))
    title = f"{power(size.recommended_w, units)} of heat delivered into the house"
    notes = [note for note in size.notes if "curve" not in note]
    return [
        Facts(title, [*heater_text.size_facts(size, units)]),
        Table("Loads side by side", head, tuple(sizes), ()),
        Table("To compare, none of them a size", head, tuple(aside), ()),
        Words([*notes, SIZING_CAUTION]),
    ]


def _money_parts(weighed: Weighed, units: Units, other: Units) -> list[Facts | Words | Table]:
    found = [payback_text.measure_table(weighed, u) for u in (units, other)]
    shown = [table for table in found if table is not None]
    if len(shown) == 2 and shown[0].head == shown[1].head:
        shown.pop()
    own = [payback_text.OWN_COSTS] if weighed.examples else []
    return [
        *shown,
        Words(list(payback_text.together(weighed, units))),
        Words([*payback_text.priced(weighed), *own], "What the costs are"),
        Words(list(payback_text.unfit(weighed)), "What does not fit this house, or changes nothing"),
        Words(list(payback_text.terms(weighed)), "How it is reckoned"),
    ]


def _sources(season: Season) -> Table:
    head = (("what", ""), ("field", ""), ("value", ""), ("unit", ""), ("source", ""), ("how known", ""))
    rows = tuple(
        (f"{kind}: {name}", field, value if isinstance(value, str) else f"{value:.4g}", "" if unit == "1" else unit,
         source, mark)
        for kind, name, field, value, unit, source, mark, *_ in season.sources.itertuples(index=False)
    )  # fmt: skip
    return Table("Catalogue rows used (SI)", head, rows, ())


def _checks(season: Season, units: Units) -> Iterator[str]:
    yield (
        f"The ledger closes: the worst residual of any hour or of the year is {season.closure:.1g} of the heat that "
        "came in. Every line of the table below is a sum of its own; their sum must be nothing."
    )
    yield f"Below the setpoint with a heater in use: {text.below(season.unmet, units)}."
    yield from (f"{sentence[0].upper()}{sentence[1:]}." for sentence in text.by_hand(season, units))


def _ledger(season: Season, units: Units) -> Table:
    words = tables.LOSS_WORDS | {"heater": "heaters", "sun": "sun that stays inside", "gains": "machines and people"}
    first, second = ("mill. Btu", "kWh") if units == "us" else ("kWh", "mill. Btu")

    def cells(kwh: float) -> tuple[str, str]:
        pair = fixed(kwh * BTU_PER_KWH / 1e6, 1), fixed(kwh, 0)
        return pair if units == "us" else pair[::-1]

    rows = tuple((words.get(str(path), str(path)), *cells(float(kwh))) for path, kwh in season.ledger.items())
    head = (("", ""), ("heat", first), ("heat", second))
    total = ("sum", *cells(float(season.ledger.sum())))
    return Table("All heat of the year, what comes in positive", head, rows, total)
