"""The report as one page: tons, cost, heater size and the next dollar, then pictures, tables and what was assumed.

One HTML file holds everything: styles, and pictures as drawings within the page. It has no script and asks the network
for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from heatloss.decisions.measures import TOGETHER
from heatloss.decisions.payback import Weighed, weigh
from heatloss.decisions.sizing import HeaterSize, size_heater
from heatloss.report import heater_text, payback_text, pictures, tables, text
from heatloss.report.cautions import CAUTIONS, SIZING_CAUTION
from heatloss.report.living import living_words
from heatloss.report.measures import BTU_PER_KWH, Units, fixed, money, power
from heatloss.report.tables import Table
from heatloss.season import Season, simulate

if TYPE_CHECKING:
    from heatloss.fuel import Fuel
    from heatloss.house import House
    from heatloss.weather import Weather


class Answer(NamedTuple):
    """One of the first screen's four answers: what was asked, the answer, and what goes with it."""

    asked: str
    answer: str
    beside: str


class Section(NamedTuple):
    """A heading, and under it facts by label, sentences and tables."""

    anchor: str
    title: str
    facts: list[tuple[str, list[tuple[str, str]]]]
    sentences: list[str]
    tables: list[Table]


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
    A house without a heater has no fuel, no payback and no first answers; one without a setpoint has no heater size.
    """
    with ThreadPoolExecutor() as pool:
        sizing = pool.submit(size_heater, house, weather) if house.setpoint else None
        weighed = weigh(house, weather, measures) if house.heater else None
        season = weighed.base if weighed is not None else simulate(house, weather)
        drawn = pictures.all_of(season, weighed, units)
        size = sizing.result() if sizing is not None else None
    page: str = _template().render(
        title=season.house.title or "A house without a title",
        place=text.place_words(season, units),
        note=text.SAMPLE_NOTE if sample else "",
        answers=list(_answers(season, size, weighed, units)),
        warnings=list(_warnings(season)),
        pictures=drawn,
        colours=pictures.COLOURS,
        sections=list(_sections(season, size, weighed, units)),
        cautions=[*CAUTIONS, SIZING_CAUTION],
        version=_version(),
    )
    return page


def next_dollar(weighed: Weighed) -> str | None:
    """Name of the measure whose money earns most: of those that cost something and are worth it, the highest return.

    Examples
    --------
    >>> from heatloss import read_weather, sample_house
    >>> foam = {"name": "foam", "set": {"floor": {"depth": "3 ft"}}, "cost": "1 usd", "life": 30}
    >>> next_dollar(weigh(sample_house(), read_weather("chicago"), [foam]))
    'foam'
    """
    rows = weighed.table.drop(index=TOGETHER)
    worth = rows[(rows["price"] > 0.0) & (rows["npv"] > 0.0) & rows["irr"].notna()]
    return str(worth["irr"].idxmax()) if len(worth) else None


def _template() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = Path(__file__).with_name("templates")
    loader = FileSystemLoader(folder, encoding="utf-8")
    made = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return made.get_template("page.html")


def _version() -> str:
    import heatloss

    return heatloss.__version__


def _answers(season: Season, size: HeaterSize | None, weighed: Weighed | None, units: Units) -> Iterator[Answer]:
    """What the first screen says."""
    for fuel in season.fuels[:1]:
        amount, beside = text.fuel_headline(fuel, units).split(" of ", 1)
        low_high = dict(text.fuel_facts(fuel, units))["8 winters in 10"].split(" (")[0]
        yield Answer("Fuel for the winter", amount, f"of {beside}. Eight winters in ten: {low_high}")
        yield Answer("Cost", money(sum(f.cost for f in season.fuels)), _price_words(season.fuels))
    if size is not None:
        first, _, other = power(size.recommended_w, units).partition(" (")
        verdict = dict(heater_text.size_facts(size, units)).get("in the house file", "")
        fitted = f" The house file has {verdict}." if verdict else ""
        complete = "" if size.complete else " Incomplete: the 20-year minimum is missing."
        yield Answer("Heater size", first, f"{other.rstrip(')')} of heat into the house.{complete}{fitted}")
    if weighed is not None:
        yield _next(weighed)


def _price_words(fuels: tuple[Fuel, ...]) -> str:
    words = [dict(text.fuel_facts(fuel, "us"))["cost"].partition(" at ")[2].replace("  ", " ") for fuel in fuels]
    return "; ".join(f"at {word}" for word in dict.fromkeys(words))


def _next(weighed: Weighed) -> Answer:
    name = next_dollar(weighed)
    alone = weighed.table.drop(index=TOGETHER).to_dict("index")
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


def _sections(season: Season, size: HeaterSize | None, weighed: Weighed | None, units: Units) -> Iterator[Section]:
    other: Units = "si" if units == "us" else "us"
    names = {"us": "US units", "si": "SI units"}
    if season.fuels:
        facts = [(text.fuel_headline(f, units), [*text.fuel_facts(f, units)]) for f in season.fuels]
        yield Section("fuel", "Fuel, cost and store", facts, list(text.outside_the_dates(season, units)), [])
    if size is not None:
        yield _size_section(size, units)
    if weighed is not None:
        yield _money_section(weighed, units, other)
    months = [tables.month_table(season, u) for u in (units, other)]
    months = [t._replace(caption=f"{t.caption}, {names[u]}") for t, u in zip(months, (units, other), strict=True)]
    yield Section("months", "Month by month", [], [], months)
    flows = tables.flow_tables(season, units)
    if flows:
        yield Section("flows", flows[0].caption, [], [flows[0].note], _capital(flows))
    for title, lines in living_words(season, units):
        yield Section(title.lower(), title, [], [line for _, line in lines], [])
    yield Section("assumed", "What was assumed", [], list(text.assumed(season)), [_sources(season)])
    yield Section("checks", "Checks and closure", [], list(_checks(season, units)), [_ledger(season, units)])


def _capital(flows: list[Table]) -> list[Table]:
    return [flow._replace(caption=f"{flow.caption[0].upper()}{flow.caption[1:]}", note="") for flow in flows]


def _size_section(size: HeaterSize, units: Units) -> Section:
    sizes, aside = heater_text.load_rows(size, units)
    head = (("", ""), ("load", ""), ("outdoors", ""), ("temperature from", ""))
    both = [
        Table("Loads side by side", head, tuple(sizes), ()),
        Table("To compare, none of them a size", head, tuple(aside), ()),
    ]
    facts = [(f"{power(size.recommended_w, units)} of heat delivered into the house",
              [*heater_text.size_facts(size, units)])]  # fmt: skip
    notes = [note for note in size.notes if "curve" not in note]
    return Section("heater", "How big a heater", facts, [*notes, SIZING_CAUTION], both)


def _money_section(weighed: Weighed, units: Units, other: Units) -> Section:
    found = [payback_text.measure_table(weighed, u) for u in (units, other)]
    shown = [table for table in found if table is not None]
    if len(shown) == 2 and shown[0].head == shown[1].head:
        shown.pop()
    sentences = [*payback_text.together(weighed, units), *payback_text.unfit(weighed)]
    sentences += [*payback_text.priced(weighed), *payback_text.terms(weighed)]
    if weighed.examples:
        sentences.append(payback_text.OWN_COSTS)
    return Section("money", "What pays", [], sentences, shown)


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
