"""Logs as people keep them: what is read, what is refused and in which words. All of them are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from heatloss import InputError, UnknownNameError, read_log
from heatloss.catalogue import row

BAGS = "date,bags\n2015-10-04,\n2015-10-11,3\n2015-10-18,5\n2015-10-25,4\n"


@pytest.fixture
def write(tmp_path: Path):
    def write(text: str) -> Path:
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def amounts(log) -> list[float]:
    return log.intervals["amount"].tolist()


def test_bags_since_the_row_before(write):
    path = write(BAGS)
    log = read_log(path)
    assert amounts(log) == [3.0, 5.0, 4.0]
    assert log.unit == "bag"
    assert log.step == 1.0
    assert log.intervals["start"].iloc[0] == pd.Timestamp("2015-10-04")
    assert log.days.tolist() == [7.0, 7.0, 7.0]
    assert log.total == 12.0
    assert path.read_text(encoding="utf-8") == BAGS, "a log is never changed"


def test_the_head_may_say_what_a_bag_weighs(write):
    log = read_log(write(BAGS.replace("bags", "bags [40 lb]")))
    assert log.bag_kg == pytest.approx(40 * 0.45359237)
    pellets = row("fuels", "pellets")
    assert log.unit_energy(pellets, "lhv") == pytest.approx(log.bag_kg * 4.8, rel=1e-9)  # 4.8 kWh/kg, the row's own


def test_units_of_trade_become_energy(write):
    gallons = read_log(write("date,gallons\n2015-10-04,\n2015-10-11,30\n"))
    propane = row("fuels", "propane")
    assert gallons.unit_energy(propane, "hhv") == pytest.approx(propane["mass_per_unit"] * propane["hhv"] / 3.6e6)
    liters = read_log(write("date,volume [L]\n2015-10-04,\n2015-10-11,30\n"))
    assert liters.unit_energy(propane, "hhv") == pytest.approx(gallons.unit_energy(propane, "hhv") / 3.785411784)
    meter = read_log(write("date,meter [kWh]\n2015-10-04,100\n2015-10-11,130\n"))
    assert meter.unit_energy(row("fuels", "electricity"), "hhv") == pytest.approx(1.0)
    with pytest.raises(InputError, match="must fit pellets, got gal"):
        gallons.unit_energy(row("fuels", "pellets"), "hhv")


def test_a_meter_counts_up_and_gaps_join(write):
    log = read_log(write("date,meter [therm]\n2015-10-04,100\n2015-10-11,?\n2015-10-18,130\n2015-10-25,141\n"))
    assert amounts(log) == [30.0, 11.0]
    assert log.days.tolist() == [14.0, 7.0]
    with pytest.raises(InputError, match=r"meter must not run back, got 90 after 100 \(log.csv, line 3\)"):
        read_log(write("date,meter [therm]\n2015-10-04,100\n2015-10-11,90\n"))


def test_a_tank_tells_only_when_it_is_full(write):
    text = "date,fill [gal],full\n2015-10-04,100,yes\n2015-11-01,60,no\n2015-11-20,50,yes\n2015-12-20,80,\n"
    log = read_log(write(text))
    assert amounts(log) == [110.0, 80.0]
    assert log.intervals["start"].tolist() == [pd.Timestamp("2015-10-04"), pd.Timestamp("2015-11-20")]
    with pytest.raises(InputError, match="the first fill must be a full one"):
        read_log(write("date,fill [gal],full\n2015-10-04,100,no\n2015-11-01,60,yes\n"))


def test_a_count_of_what_is_left(write):
    log = read_log(write("date,stock [bags],added\n2015-10-04,50,\n2015-10-11,44,\n2015-10-18,90,50\n"))
    assert amounts(log) == [6.0, 4.0]
    with pytest.raises(InputError, match=r"stock must not grow by more than was added, got 3 more .*line 3"):
        read_log(write("date,stock [bags],added\n2015-10-04,50,\n2015-10-11,53,\n"))


def test_from_and_to_leave_gaps_and_must_not_overlap(write):
    log = read_log(write("from,to,weight [lb]\n2015-10-04,2015-10-11,120\n2015-10-18,2015-10-25,200\n"))
    assert log.days.tolist() == [7.0, 7.0]
    with pytest.raises(InputError, match=r"intervals must not overlap.*lines 2 and 3"):
        read_log(write("from,to,weight [lb]\n2015-10-04,2015-10-11,120\n2015-10-10,2015-10-17,200\n"))
    with pytest.raises(InputError, match="to must be after from"):
        read_log(write("from,to,weight [lb]\n2015-10-14,2015-10-11,120\n"))


def test_a_question_mark_is_a_gap(write):
    log = read_log(write(BAGS.replace("2015-10-18,5", "2015-10-18,?")))
    assert amounts(log) == [3.0, 4.0]
    assert log.days.tolist() == [7.0, 7.0]


def test_a_forgotten_row_and_a_first_amount_are_said(write):
    text = BAGS.replace("2015-10-04,\n", "2015-10-04,9\n") + "2015-11-01,4\n2015-12-06,5\n"
    log = read_log(write(text))
    assert amounts(log) == [3.0, 5.0, 4.0, 4.0, 5.0]
    assert any("lie before it" in note for note in log.notes)
    assert any("2015-12-06 (line 7) is long" in note for note in log.notes)


def test_temperatures_on_their_own_rows(write):
    text = (
        "date,bags,inside [degF],outside [degF]\n2015-10-04 00:00,,50,32\n2015-10-04 06:00,,41,14\n"
        "2015-10-11 00:00,3,50,\n"
    )
    log = read_log(write(text))
    assert amounts(log) == [3.0]
    assert log.temperatures["inside"].tolist() == pytest.approx([10.0, 5.0, 10.0])
    assert log.temperatures["outside"].tolist() == pytest.approx([0.0, -10.0, np.nan], nan_ok=True)


@pytest.mark.parametrize("order", ["m/d/y", "d/m/y", "d.m.y"])
def test_other_orders_of_a_date_are_named(write, order):
    stamp = pd.Timestamp("2015-10-04").strftime({"m/d/y": "%m/%d/%Y", "d/m/y": "%d/%m/%Y", "d.m.y": "%d.%m.%Y"}[order])
    text = f"date [{order}],bags\n{stamp},\n" + stamp.replace("04", "11") + ",3\n"
    assert read_log(write(text)).days.tolist() == [7.0]


@pytest.mark.parametrize("mark", [";", "\t"])
def test_other_marks_between_cells(write, mark):
    assert amounts(read_log(write(BAGS.replace(",", mark)))) == [3.0, 5.0, 4.0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (BAGS.replace(",5", ",-5"), r"bags must be 0 or more, got -5 \(log.csv, line 4\)"),
        (BAGS.replace(",5", ",nan"), r"bags must be 0 or more, got nan \(log.csv, line 4\)"),
        (BAGS.replace(",5", ",five"), r"bags must be a number, got 'five' \(log.csv, line 4\)"),
        (BAGS.replace(",5", ",5,5"), r"must have 2 cells, got 3 \(log.csv, line 4\). Write decimals with a point"),
        (BAGS.replace("2015-10-18", "2015-10-02"), r"date must be later than on the row before.*line 4"),
        (BAGS.replace("2015-10-18", "10/18/2015"), r'got .10/18/2015. \(log.csv, line 4\). If that is m/d/y, head'),
        (BAGS.replace("2015-10-18", "soon"), r"date must be a date as y-m-d, got 'soon' \(log.csv, line 4\)"),
        (BAGS.replace("date,", "date [y/d/m],"), "the order of date must be one of"),
        ("bags\n3\n4\n", "columns must include date"),
        ("date,bags,gallons\n2015-10-04,,\n2015-10-11,1,1\n", "fuel must stand in one column, got bags, gallons"),
        ("date,note\n2015-10-04,a\n2015-10-11,b\n", "columns must include fuel or temperatures"),
        ("date,weight\n2015-10-04,\n2015-10-11,4\n", "weight must have its unit, got none"),
        ("date,weight [degF]\n2015-10-04,\n2015-10-11,4\n", "fuel must be in a unit of mass, volume or energy"),
        ("date,inside\n2015-10-04,4\n2015-10-11,4\n", "inside must say degF or degC, got nothing"),
        ("date,inside [degC]\n2015-10-04,55\n2015-10-11,50\n", r"got 55 \(log.csv, line 2\). It looks like degF"),
        ("date,inside [degC]\n2015-10-04,48\n2015-10-11,47\n", r"the middle of all inside.*If they are degF"),
        ("date,inside [degF]\n2015-10-04,10\n2015-10-11,12\n", r"the middle of all inside.*If they are degC"),
        ("date,outside [degC]\n2015-10-04,68\n2015-10-11,12\n", r"outside must be from -60 to 50 .*looks like degF"),
        ("date,bags\n", "log must have a head and rows, got 1 lines"),
        ("date,date\n2015-10-04,1\n", "a column must stand once, got date twice"),
        ("date,bags [3 ft]\n2015-10-04,\n2015-10-11,4\n", "bags must"),
        ("date,fill [gal],full\n2015-10-04,3,maybe\n2015-10-11,4,yes\n", "full must be yes or no, got 'maybe'"),
        ("from,to,meter [kWh]\n2015-10-04,2015-10-11,3\n", "meter must stand beside date"),
    ],
)  # fmt: skip
def test_what_is_refused_is_said_in_one_sentence(write, text, said):
    with pytest.raises(InputError, match=said) as caught:
        read_log(write(text))
    assert "\n" not in str(caught.value)


def test_an_unknown_column_names_the_nearest(write):
    with pytest.raises(UnknownNameError, match="The nearest: bags"):
        read_log(write(BAGS.replace("bags", "bag")))


def test_files_that_are_no_text(tmp_path, write):
    with pytest.raises(InputError, match="log must be a file that exists"):
        read_log(tmp_path / "none.csv")
    path = tmp_path / "binary.csv"
    path.write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(InputError, match="UTF-8"):
        read_log(path)
    path.write_bytes(b"date,bags\n\0\n")
    with pytest.raises(InputError, match="binary"):
        read_log(path)


def test_a_part_of_a_log(write):
    log = read_log(write(BAGS))
    assert amounts(log.between(start=pd.Timestamp("2015-10-11"))) == [5.0, 4.0]
    assert amounts(log.between(end=pd.Timestamp("2015-10-18"))) == [3.0, 5.0]
