"""Many winters: constructed years, the sample's own moved warmer and colder, so that the order is known."""

from __future__ import annotations

import gzip
import json
import tomllib

import numpy as np
import pandas as pd
import pytest

from heatloss.decisions.winters import winters
from heatloss.errors import InputError, WeatherError
from heatloss.house import House, sample_house
from heatloss.house.files import sample_text
from heatloss.report.winters_text import sentence, winters_csv, winters_json, winters_report
from heatloss.season import simulate
from heatloss.weather import Weather, read_weather
from heatloss.weather.samples import sample_path
from heatloss.weather.years import read_years, whole_winters

OFFSETS = (0.0, -2.0, 1.0, 2.0, -1.0, 0.5, 1.5, -0.5, 2.5, -3.0, 3.0)
"""By which the winters 2000-01, 2001-02 ... differ from the typical year [K]."""


def many(typical: Weather, offsets: tuple[float, ...], *, first: str = "2000-07-01") -> Weather:
    """A long frame: the typical year again and again, each winter's year moved by its offset."""
    start = pd.Timestamp(first)
    end = start.replace(year=start.year + len(offsets))
    index = pd.date_range(start, end, freq="h", inclusive="left")
    row = ((np.minimum(index.day_of_year, 365) - 1) * 24 + index.hour).to_numpy()
    frame = typical.hours.iloc[row].set_axis(index)
    year = index.year.to_numpy() - start.year - (index.month.to_numpy() < start.month)
    frame["temp_air"] += np.array(offsets)[year]
    frame["temp_dew"] += np.array(offsets)[year]
    return Weather.from_frame(
        frame.drop(columns="precipitation"), latitude=41.983, longitude=-87.917, altitude=201.0, utc_offset=-6.0
    )


@pytest.fixture(scope="module")
def typical() -> Weather:
    return read_weather("chicago")


@pytest.fixture(scope="module")
def eleven(typical):
    return winters(sample_house(), many(typical, OFFSETS), typical=typical)


def test_every_winter_is_simulated_whole(eleven, typical) -> None:
    assert list(eleven.frame.index[:2]) == ["2000-01", "2001-02"]
    assert len(eleven.frame) == 11
    order = [eleven.frame.index[k] for k in np.argsort(OFFSETS)[::-1]]
    assert list(eleven.ranked.index) == order, "the colder a winter, the more fuel"
    assert eleven.worst == "2009-10"
    parts, left = whole_winters(many(typical, OFFSETS[:1]))
    assert left == ()
    one = simulate(sample_house(), parts["2000-01"])
    assert eleven.frame.loc["2000-01", "fuel"] == pytest.approx(one.fuel.amount, rel=1e-12)


def test_middle_hard_and_typical(eleven) -> None:
    fuel = eleven.frame["fuel"].to_numpy()
    assert eleven.median == pytest.approx(np.median(fuel))
    assert eleven.one_in_ten == pytest.approx(np.sort(fuel)[9])  # of eleven the quantile 0.9 is the tenth. Definition.
    assert eleven.harder == sum(fuel > eleven.typical["fuel"])
    assert eleven.more == pytest.approx(np.sort(fuel)[9] - eleven.typical["fuel"])


def test_winters_differ_more_at_a_low_base(eleven) -> None:
    ratio = eleven.frame.loc["2010-11"] / eleven.frame.loc["2009-10"]
    assert ratio["degree_days_low"] < ratio["degree_days"] < 1.0
    assert ratio["heat_kwh"] < ratio["degree_days"], "scaling by the high base would miss it"


def test_sentence_and_report(eleven) -> None:
    said = sentence(eleven)
    milder = eleven.harder
    side = f"milder than {milder}" if milder >= 11 - milder else f"harder than {11 - milder}"
    assert said.startswith(f"This typical file is {side} of 11 winters: buy ")
    assert said.endswith("bags more than it asks for, to be ready for the winter of one in ten.")
    for units in ("us", "si"):
        text = winters_report(eleven, units=units, sample=True)
        assert all(len(line) <= 80 for line in text.split("\n"))
        assert "nine winters in ten take at most" in text
        assert text.count("20") > 10


def test_below_ten_winters_no_one_in_ten(typical) -> None:
    found = winters(sample_house(), many(typical, (0.0, -2.0)), typical=typical)
    assert found.one_in_ten is None
    text = winters_report(found)
    assert "2 whole winters are at hand, all shown below. A 1-in-10 winter is told from" in text
    assert "nine winters in ten" not in text
    assert "to be ready for the hardest at hand, 2001-02" in " ".join(text.split())
    tree = json.loads(winters_json(found))
    assert tree["one_in_ten"] is None
    assert [row["winter"] for row in tree["winters"]] == ["2000-01", "2001-02"]
    assert winters_csv(found).startswith("winter,heat_kwh,fuel,cost,")


def test_parts_of_winters_are_left_out_and_said(typical) -> None:
    long = many(typical, (0.0, -2.0), first="2000-01-01")
    parts, left = whole_winters(long)
    assert list(parts) == ["2000-01"]
    assert left == (
        "1999-00 is left out: 4,368 of its 8,784 hours are at hand.",
        "2001-02 is left out: 4,416 of its 8,760 hours are at hand.",
    )
    assert parts["2000-01"].readings.index[0] == pd.Timestamp("2000-07-01 00:30", tz="Etc/GMT+6")


def test_without_a_heater_heat_ranks(typical) -> None:
    data = tomllib.loads(sample_text())
    data.pop("heater")
    found = winters(House(**data), many(typical, (0.0, -1.0)))
    assert found.measure == "heat_kwh"
    assert found.worst == "2001-02"
    assert sentence(found) == ""
    assert "million Btu" in winters_report(found)


def test_a_folder_of_years(typical, tmp_path) -> None:
    nsrdb = read_weather("nw_colorado")
    assert not nsrdb.typical
    with pytest.raises(InputError, match=r"weather must hold a whole winter, July to June, got none: 2022-23 is left"):
        winters(sample_house(), nsrdb)
    with pytest.raises(WeatherError, match=r"^folder must hold weather files, got none"):
        read_years(tmp_path)

    (tmp_path / "a.epw.gz").write_bytes(sample_path("chicago").read_bytes())
    with pytest.raises(WeatherError, match=r"^years must be real ones, got a typical year \(a.epw.gz\)"):
        read_years(tmp_path)
    (tmp_path / "a.epw.gz").unlink()
    (tmp_path / "b.csv.gz").write_bytes(sample_path("nw_colorado").read_bytes())
    assert [record.site.source for record in read_years(tmp_path)] == ["b.csv.gz"]


def test_years_of_two_places_are_refused(typical, tmp_path) -> None:
    content = sample_path("nw_colorado").read_bytes()
    (tmp_path / "a.csv.gz").write_bytes(content)
    text = gzip.decompress(content).decode()
    (tmp_path / "b.csv").write_text(text.replace("40.53", "42.53", 1), encoding="utf-8")
    with pytest.raises(WeatherError, match=r"^(years must be of one place|sun must stand)"):
        read_years(tmp_path)
