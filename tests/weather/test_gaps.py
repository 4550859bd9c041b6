"""Short gaps filled on request, and the checks on steps."""

from __future__ import annotations

import numpy as np
import pytest

from heatloss.errors import InputError, WeatherError
from heatloss.weather import Weather, read_weather


def epw_with(text: str, changes: dict[int, dict[int, str]], drop: tuple[int, ...] = ()) -> str:
    """An EPW with fields of some rows changed (row from 0 to column to text) and some rows left out."""
    lines = text.split("\n")
    for row, fields in changes.items():
        parts = lines[8 + row].split(",")
        for column, value in fields.items():
            parts[column] = value
        lines[8 + row] = ",".join(parts)
    return "\n".join(line for number, line in enumerate(lines) if number - 8 not in drop)


def test_missing_rows_and_missing_values_are_filled_and_said(text, written, sample) -> None:
    file = written(epw_with(text("chicago"), {4000: {6: "99.9"}}, drop=(100, 101, 102)))
    made, real = read_weather(file, fill="short"), sample("chicago")
    assert len(made.hours) == 8760
    told = [note for note in made.notes if "filled as asked" in note]
    assert told[0] == "temp_air: 4 missing values filled as asked (05 Jan 04:00 to 05 Jan 06:00, 16 Jun 16:00)."
    assert made.readings.iloc[101] == pytest.approx((real.readings.iloc[99] + real.readings.iloc[103]) / 2.0, abs=1e-9)
    away = np.r_[0:99, 105:3999, 4003:8760]
    assert np.array_equal(made.hours["temp_air"].to_numpy()[away], real.hours["temp_air"].to_numpy()[away])


def test_sun_is_filled_from_the_days_beside_it(text, written, sample) -> None:
    noon = 180 * 24 + 12
    changes = {noon: {13: "9999", 14: "9999", 15: "9999"}}
    made = read_weather(written(epw_with(text("chicago"), changes)), fill="short")
    real = sample("chicago").hours["ghi"]
    assert made.hours["ghi"].iloc[noon] == pytest.approx((real.iloc[noon - 24] + real.iloc[noon + 24]) / 2.0)


def test_long_gaps_are_refused_with_their_times(text, written) -> None:
    file = written(epw_with(text("chicago"), {}, drop=tuple(range(100, 107))))
    with pytest.raises(WeatherError) as caught:
        read_weather(file, fill="short")
    assert str(caught.value) == (
        "gaps must be at most 6 h to be filled [h], got 7 h of temp_air (weather.txt, 05 Jan 04:00 to 05 Jan 10:00; "
        "1 such). Take another file, or fill it yourself."
    )


def test_nothing_is_filled_without_being_asked(text, written) -> None:
    with pytest.raises(WeatherError, match="hours must follow one another without a gap, got 8759 rows of 8760"):
        read_weather(written(epw_with(text("chicago"), {}, drop=(100,))))


def test_real_half_hours_keep_their_year(text, written, sample) -> None:
    lines = text("nw_colorado").split("\n")
    del lines[3 + 101]
    made = read_weather(written("\n".join(lines)), fill="short")
    assert made.hours.index[0].year == 2023
    assert made.hours["temp_air"].mean() == pytest.approx(sample("nw_colorado").hours["temp_air"].mean(), abs=0.01)


def test_unknown_word(text, written) -> None:
    with pytest.raises(InputError, match=r'^fill must be "short" or left out, got \'long\''):
        read_weather("chicago", fill="long")


def test_a_jump_no_weather_makes_is_refused(text, written) -> None:
    with pytest.raises(WeatherError) as caught:
        read_weather(written(epw_with(text("chicago"), {30: {6: "33.0"}})))
    assert str(caught.value).startswith("temp_air must change by at most 30 [K] from a row to the next, got ")
    assert "(weather.txt, 02 Jan 06:00). Mend the value, or take another file." in str(caught.value)


def test_rare_jumps_and_stuck_sensors_are_said(text, written, sample) -> None:
    warm = sample("chicago").readings.iloc[4000]
    changes = {4000 + k: {6: f"{warm:.1f}"} for k in range(60)} | {30: {21: "25.0"}}
    notes = read_weather(written(epw_with(text("chicago"), changes))).notes
    assert any(note.startswith("temp_air does not change for 60 h from 16 Jun 16:00") for note in notes)
    assert any(note.startswith("wind_speed jumps by up to ") for note in notes)
    for name in ("chicago", "golden", "sand_point", "nw_colorado", "italy_45n8e"):
        assert not any("jumps" in note or "stuck" in note for note in sample(name).notes)
    # two readings of 24 m/s between calm ones, in the file as it was published
    assert "wind_speed jumps by up to 24 m/s from a row to the next (06 Jan 18:00; 2 such)." in sample("northway").notes


def test_a_frame_with_holes_is_filled_on_request(sample) -> None:
    hours = sample("golden").hours
    frame = hours.drop(hours.index[500:503]).copy()
    frame.loc[frame.index[2000], "temp_air"] = np.nan
    place = {"latitude": 39.742, "longitude": -105.179, "altitude": 1829.0, "utc_offset": -7.0}
    with pytest.raises(WeatherError):
        Weather.from_frame(frame, **place)
    made = Weather.from_frame(frame, **place, fill="short")
    assert len(made.hours) == 8760
    assert any(note.startswith("temp_air: 4 missing values filled as asked") for note in made.notes)
    assert made.hours["temp_air"].mean() == pytest.approx(hours["temp_air"].mean(), abs=0.01)
