"""Bad input through the whole command: one sentence with the fix, exit code 2, no traceback, nothing half-written."""

from __future__ import annotations

import functools
import gzip
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner, Result

from heatloss import catalogue
from heatloss.cli import app
from heatloss.errors import WeatherError
from heatloss.house import sample_text
from heatloss.weather import Weather, read_weather, samples
from heatloss.weather.samples import sample_path

KEPT = "an older table, to be kept\n"
FORMATS = "one of those README lists"
WHICH = "Say which with kind: tmy3, tmy2, epw, pvgis_csv, pvgis_json, nsrdb, isd_lite, measured, normals."
FILLED = 'Gaps of up to 6 h are filled with fill "short"; else take another file.'
MEND = "Mend or replace the value, or take another file."
U_RANGE = "a U-value from 0.03 to 10 W/(m2 K) (0.005 to 1.76 Btu/(h ft2 degF))"
R_RANGE = "an R-value above 0 and at most R-170 (30 m2 K/W)"
LENGTH = "a length above 0 and at most 2000 m (6562 ft)"
AREA = "an area above 0 and at most 1000000 m2"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder but for a table of hours that an earlier winter left."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "hours.csv").write_text(KEPT)
    return tmp_path


def command(*words: str) -> Result:
    return CliRunner().invoke(app, [*words, "--csv", "hours.csv"], prog_name="heatloss")


def season(*words: str) -> Result:
    return command("season", *words)


def refusal(result: Result, here: Path) -> str:
    """What stands on stderr, after making sure that nothing else was printed, written or left behind."""
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    assert (here / "hours.csv").read_text() == KEPT
    assert {path.name for path in here.iterdir()} <= {"hours.csv", "house.toml", "winter.txt", "rows.toml"}
    assert result.stderr.startswith("heatloss: ")
    assert result.stderr.endswith("\n")
    return result.stderr.removeprefix("heatloss: ").rstrip("\n")


# ---- weather -------------------------------------------------------------------------------------------------------


@functools.cache
def weather_text(name: str) -> str:
    path = sample_path(name)
    assert path is not None
    return gzip.decompress(path.read_bytes()).decode()


def chicago(*changes: tuple[int, int, str]) -> str:
    """The EPW of Chicago with fields replaced: (hour of the year, column, text)."""
    lines = weather_text("chicago").splitlines(keepends=True)
    for hour, column, text in changes:
        fields = lines[8 + hour].split(",")
        fields[column] = text
        lines[8 + hour] = ",".join(fields)
    return "".join(lines)


def rows_of(first: int, last: int) -> str:
    lines = weather_text("chicago").splitlines(keepends=True)
    return "".join([*lines[:8], *lines[8 + first : 8 + last]])


def without_a_day() -> str:
    lines = weather_text("chicago").splitlines(keepends=True)
    return "".join([*lines[:100], *lines[124:]])


def doubled() -> str:
    lines = weather_text("chicago").splitlines(keepends=True)
    return "".join([*lines[:101], lines[100], *lines[101:]])


GAP = "hours must follow one another without a gap, got"
SHORT = "The file is cut short: download it again."
WEATHER: dict[str, tuple[Callable[[], str], str]] = {
    "another format": (
        lambda: "Dear neighbor,\nthis is a letter.\n",
        f"weather file must be {FORMATS}, got one that starts with 'Dear neighbor,' (winter.txt). {WHICH}",
    ),
    "a house file": (
        sample_text,
        f"weather file must be {FORMATS}, got one that starts with '#:schema heatloss.schema.json' (winter.txt). "
        f"{WHICH}",
    ),
    "nothing in it": (
        lambda: "",
        f"weather file must be {FORMATS}, got an empty file (winter.txt). Download it again.",
    ),
    "half of it": (
        lambda: rows_of(0, 4379),
        f"{GAP} 4379 rows of 8760, the last 02 Jul 10:00 (winter.txt). {SHORT}",
    ),
    "a row broken off": (
        lambda: chicago()[:-150],
        f"temp_air must be between -90 and 60 [degC], got nothing (winter.txt, 31 Dec 23:00). {MEND}",
    ),
    "8759 rows": (
        lambda: rows_of(0, 8759),
        f"{GAP} 8759 rows of 8760, the last 31 Dec 22:00 (winter.txt). {SHORT}",
    ),
    "the first row missing": (
        lambda: rows_of(1, 8760),
        f"{GAP} 8759 rows of 8760 (winter.txt; missing 01 Jan 00:00). {FILLED}",
    ),
    "a day missing": (
        without_a_day,
        f"{GAP} 8736 rows of 8760 (winter.txt; missing 04 Jan 20:00, 04 Jan 21:00, 04 Jan 22:00, 04 Jan 23:00, "
        f"05 Jan 00:00 and 19 more). {FILLED}",
    ),
    "an hour twice": (
        doubled,
        f"{GAP} 8761 rows of 8760 (winter.txt; twice 04 Jan 20:00). Delete the doubled rows.",
    ),
    "-200 degC": (
        lambda: chicago((1000, 6, "-200")),
        f"temp_air must be between -90 and 60 [degC], got -200 (winter.txt, 11 Feb 16:00). {MEND}",
    ),
    "not a number": (
        lambda: chicago((1000, 6, "nan"), (1001, 6, "nan")),
        f"temp_air must be between -90 and 60 [degC], got nothing (winter.txt, 11 Feb 16:00 and 1 more). {MEND}",
    ),
    "negative sun": (
        lambda: chicago((1000, 13, "-5")),
        "ghi must be between 0 and 1500 [W/m2], got -5 (winter.txt, 11 Feb 16:00). "
        "Night and faults of an instrument must be 0.",
    ),
    "negative beam": (
        lambda: chicago((1000, 14, "-0.5")),
        "dni must be between 0 and 1500 [W/m2], got -0.5 (winter.txt, 11 Feb 16:00). "
        "Night and faults of an instrument must be 0.",
    ),
    "wind of 60 m/s": (
        lambda: chicago((1000, 21, "60")),
        f"wind_speed must be between 0 and 50 [m/s], got 60 (winter.txt, 11 Feb 16:00). {MEND}",
    ),
    "humidity of 300 %": (
        lambda: chicago((1000, 8, "300")),
        f"relative_humidity must be between 0 and 110 [%], got 300 (winter.txt, 11 Feb 16:00). {MEND}",
    ),
    "a latitude off the earth": (
        lambda: chicago().replace("41.98300", "141.98300", 1),
        "latitude must be between -90 and 90 [deg], got 141.983 (winter.txt). "
        "Degrees are decimal, north and east positive.",
    ),
}


@pytest.mark.parametrize("name", WEATHER)
def test_bad_weather(name: str, here: Path) -> None:
    content, message = WEATHER[name]
    (here / "winter.txt").write_text(content(), encoding="utf-8", newline="")
    assert refusal(season("--sample", "--weather", "winter.txt"), here) == message


def test_weather_that_is_not_there(here: Path) -> None:
    assert refusal(season("--sample", "--weather", "winter.epw"), here) == (
        f"weather must be a file or one of the samples {', '.join(samples())}, got 'winter.epw' (no such file). "
        "Check the folder and the spelling."
    )


def test_weather_that_is_a_folder(here: Path) -> None:
    assert refusal(season("--sample", "--weather", str(here)), here) == (
        f"weather must be a file or one of the samples {', '.join(samples())}, got {str(here)!r} (a folder). "
        "Name the file in it."
    )


def test_a_download_broken_off(here: Path) -> None:
    path = sample_path("chicago")
    assert path is not None
    (here / "winter.txt").write_bytes(path.read_bytes()[:100_000])
    assert refusal(season("--sample", "--weather", "winter.txt"), here) == (
        "weather file must be readable, got a file that cannot be opened or unpacked (winter.txt: Compressed file "
        "ended before the end-of-stream marker was reached). Download it again."
    )


def test_signs_that_do_not_print_are_shown_escaped(here: Path) -> None:
    (here / "winter.txt").write_text(weather_text("golden").replace("02/14/", "02/\N{NO-BREAK SPACE}14/", 1))
    assert refusal(season("--sample", "--weather", "winter.txt"), here) == (
        "weather file must be a whole tmy3 file, got one that does not read as such (winter.txt: time data "
        '"02/\\xa014/2001" doesn\'t match format "%m/%d/%Y". You might want to try:). '
        "Download it again, or say its format with kind."
    )


def test_a_stray_year(here: Path) -> None:
    """Read as a gap of 22,000 years it took two minutes and all memory."""
    lines = weather_text("nw_colorado").splitlines(keepends=True)
    lines[3] = lines[3].replace("2023,", "-20230,", 1)
    (here / "winter.txt").write_text("".join([*lines[:9], lines[8], *lines[9:]]))
    assert refusal(season("--sample", "--weather", "winter.txt"), here) == (
        "years must be between 1800 and 2200, got -20230 (winter.txt). The file is altered: download it again."
    )


LAST = {
    "golden": "8759 rows of 8760, the last 31 Dec 22:00",
    "sand_point": "8759 rows of 8760, the last 31 Dec 22:00",
    "northway": "8759 rows of 8760, the last 31 Dec 22:00",
    "nw_colorado": "17519 rows of 17520, the last 31 Dec 23:00",
}


@pytest.mark.parametrize("name", LAST)
def test_the_last_row_missing_in_every_format(name: str, here: Path) -> None:
    (here / "winter.txt").write_text("".join(weather_text(name).rstrip("\r\n").splitlines(keepends=True)[:-1]))
    assert refusal(season("--sample", "--weather", "winter.txt"), here) == f"{GAP} {LAST[name]} (winter.txt). {SHORT}"


def test_a_row_missing_in_the_typical_year_of_pvgis(here: Path) -> None:
    lines = weather_text("italy_45n8e").splitlines(keepends=True)
    (here / "winter.txt").write_text("".join([*lines[:1000], *lines[1001:]]))
    message = refusal(season("--sample", "--weather", "winter.txt"), here)
    assert message.startswith(f"{GAP} 8759 rows of 8760 (winter.txt; missing 10 Feb ")
    assert message.endswith(f"). {FILLED}")


def test_a_frame_with_a_row_without_time() -> None:
    weather = read_weather("golden")
    times = weather.hours.index.to_series()
    times.iloc[7] = pd.NaT
    frame = weather.hours.set_axis(pd.DatetimeIndex(times)).assign(temp_air=float("nan"))
    with pytest.raises(WeatherError) as error:
        Weather.from_frame(frame, latitude=39.74, longitude=-105.18, altitude=1829.0, utc_offset=-7.0)
    assert str(error.value) == (
        "index must hold a time in every row, got none in row 7 (frame). Mend the index or drop those rows."
    )


# ---- house ---------------------------------------------------------------------------------------------------------

ONE, LISTS = "house.toml has 1 fault:\n  ", "house.toml has 1 fault (lists are counted from 1):\n  "
LAYERS = """layers = [
  { material = "plywood", thickness = "0.5 in" },
  { material = "fiberglass batt", thickness = "5.5 in" },
  { material = "plywood", thickness = "0.625 in" },
]"""
WHOLE_LAYER = "It is the R of the whole layer: 2 in of foam board is about R-10."
HOUSE: dict[str, tuple[str, str, str]] = {
    "an unknown key": (
        '[cover]\nglazing', '[cover]\nglaze = "clear"\nglazing',
        f'{ONE}cover.glaze must be a known key, got "glaze". The nearest: glazing, frame.',
    ),
    "an unknown table": (
        "[gains]", "[gain]",
        f'{ONE}gain must be a known key, got "gain". The nearest: gains, air, curtain, canopy.',
    ),
    "an unknown glazing": (
        '"polycarbonate twin-wall 8 mm"', '"polycarbonate twin wall 8 mm"',
        f'{ONE}cover.glazing must be a name in the glazing catalogue, got "polycarbonate twin wall 8 mm". The nearest: '
        "polycarbonate twin-wall 8 mm, polycarbonate twin-wall 6 mm, polycarbonate twin-wall 4 mm, "
        "polycarbonate twin-wall 10 mm.",
    ),
    "a negative length": ('"44 ft"', '"-44 ft"', f'{ONE}shape.length must be {LENGTH}, got "-44 ft".'),
    "a width of zero": ('width = "20 ft"', 'width = "0 ft"', f'{ONE}shape.width must be {LENGTH}, got "0 ft".'),
    "a negative area": ('"380 ft2"', '"-380 ft2"', f'{LISTS}bed[1].area must be {AREA}, got "-380 ft2".'),
    "an area of zero": ('"380 ft2"', '"0 ft2"', f'{LISTS}bed[1].area must be {AREA}, got "0 ft2".'),
    "a ridge below the eave": (
        'ridge = "11 ft"', 'ridge = "5 ft"',
        f'{ONE}shape.ridge must be higher than shape.eave "6 ft", got "5 ft". '
        "Measure both from the ground; the ridge is the highest line of the roof.",
    ),
    "a U of 34": (
        LAYERS, 'u = "34 W/(m2 K)"',
        f'{LISTS}part[1].u must be {U_RANGE}, got "34 W/(m2 K)". '
        'An R-value goes into a layer: layers = [{ r = "R-34" }].',
    ),
    "an R of 300": (
        LAYERS, 'layers = [{ r = "R-300" }]',
        f'{LISTS}part[1].layers[1].r must be {R_RANGE}, got "R-300". {WHOLE_LAYER}',
    ),
    "an edge of R-300": ('"R-10"', '"R-300"', f'{ONE}floor.edge must be {R_RANGE}, got "R-300". {WHOLE_LAYER}'),
    "a setpoint above the vent": (
        'vent = "80 degF"', 'vent = "52 degF"',
        f'{LISTS}setpoint[1].vent must be warmer than day "55 degF", got "52 degF". '
        "Otherwise the heater works against the open vents.",
    ),
    "a bare number": (
        'eave = "6 ft"', "eave = 6",
        f'{ONE}shape.eave must be a length with its unit [m], got 6. Type eave = "6 ft" or eave = "6 m".',
    ),
    "another unit": (
        'eave = "6 ft"', 'eave = "6 lb"',
        f'{ONE}shape.eave must be a length [m], got \'6 lb\'. Type a value such as "8 ft" or "8 m".',
    ),
    "a bare ton": (
        '"280 usd/short_ton"', '"280 usd/ton"',
        f"{LISTS}heater[1].price must be a price by the short_ton [usd/short_ton], got '280 usd/ton'. "
        "Say short_ton (2000 lb) or tonne (1000 kg).",
    ),
    "no such day": (
        'from = "09-15"\nto = "05-15"\nprice', 'from = "09-31"\nto = "05-15"\nprice',
        f'{LISTS}heater[1].from must be a month and a day such as "10-01" (1 October), in quotes, got "09-31".',
    ),
    "weather beside it that is not there": (
        '"chicago"', '"farm.epw"',
        f"weather must be a file or one of the samples {', '.join(samples())}, got 'farm.epw' (no such file). "
        "Check the folder and the spelling.",
    ),
    "own rows that are not there": (
        "title =", 'catalogue = "mine.toml"\ntitle =',
        f"{ONE}catalogue: rows must be a file that can be read, got 'mine.toml' (No such file or directory).",
    ),
    "a door larger than its wall": (
        'width = "3 ft"\nheight = "6 ft 8 in"', 'area = "200 ft2"',
        'area must be above 0 and at most 15.79 m2, what is left of east end, got 18.58 m2 (part "door").',
    ),
    "quotes left open": (
        'eave = "6 ft"', 'eave = "6 ft',
        'house file must be TOML, got a string without closing quote in line 15 of "house.toml". Close the quotes.',
    ),
    "a key twice": (
        'eave = "6 ft"', 'eave = "6 ft"\neave = "7 ft"',
        'house file must be TOML, got a key that was there before in line 16 of "house.toml". '
        "Each line is a heading such as [shape] or a key such as eave = \"8 ft\", each key once in its table.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HOUSE)
def test_bad_house(name: str, here: Path) -> None:
    old, new, message = HOUSE[name]
    text = sample_text()
    assert old in text
    (here / "house.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    assert refusal(season("house.toml"), here) == message


def test_all_faults_at_once(here: Path) -> None:
    text = sample_text().replace('ridge = "11 ft"', 'ridge = "5 ft"').replace('"380 ft2"', '"0 ft2"')
    (here / "house.toml").write_text(text.replace("[gains]", "[gain]"), encoding="utf-8")
    head, *lines = refusal(season("house.toml"), here).split("\n")
    assert head == "house.toml has 3 faults (lists are counted from 1):"
    assert [line.split(" must ")[0] for line in lines] == ["  shape.ridge", "  bed[1].area", "  gain"]


def test_a_house_file_that_is_not_there(here: Path) -> None:
    assert refusal(season("house.toml"), here) == (
        'house file must exist, got "house.toml". Start one: heatloss new my_house.toml'
    )


def test_a_house_file_that_is_no_text(here: Path) -> None:
    (here / "house.toml").write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")
    assert refusal(season("house.toml"), here) == (
        'house file must be text, got a binary file "house.toml". Name a TOML file.'
    )


def test_a_weather_file_in_place_of_a_house(here: Path) -> None:
    (here / "winter.txt").write_text(chicago(), encoding="utf-8")
    assert refusal(season("winter.txt"), here) == (
        'house file must be smaller than 1000000 bytes, got "winter.txt". Is it a weather file?'
    )


ROWS: dict[str, tuple[str, str]] = {
    "a U of 34": (
        '[glazing.mine]\nlike = "glass single 3 mm"\nu_value = "34 W/(m2 K)"',
        "u_value must be between 0.2 and 10 [W/(m2 K)], got 34 (rows.toml, glazing.mine.u_value). Check its unit.",
    ),
    "a name that does not print": (
        '[doors."my\N{NO-BREAK SPACE}door"]\nu_value = "2 W/(m2 K)"',
        r"name must be one line of text, got 'my\xa0door' (rows.toml, doors). Rename it.",
    ),
    "a default far from any house": (
        '[defaults.inside_film_minimum]\nvalue = "3e6 W/(m2 K)"',
        "value must be between 0 and 15 [W/(m2 K)], got 3e+06 (rows.toml, defaults.inside_film_minimum.value). "
        "Check its unit.",
    ),
    "a default in another unit": (
        '[defaults.inside_film_minimum]\nvalue = { value = 3, unit = "degC" }',
        "value must be a U-value [W/(m2 K)], got (3, 'degC') (rows.toml, defaults.inside_film_minimum.value). "
        'Type a value such as "8 Btu/(h ft^2 degF)" or "8 W/(m2 K)".',
    ),
    "a share below nothing": (
        "[defaults.albedo]\nvalue = -5",
        "value must be between 0 and 1 [1], got -5 (rows.toml, defaults.albedo.value). Check its unit.",
    ),
    "a factor that takes away": (
        "[defaults.bridging]\nvalue = 0.5",
        "value must be between 1 and 3.3 [1], got 0.5 (rows.toml, defaults.bridging.value). Check its unit.",
    ),
    "a default that does not exist": (
        "[defaults.inside_film_min]\nvalue = 3",
        "default must be a known name, got 'inside_film_min' (rows.toml, defaults.inside_film_min). The nearest: "
        "inside_film_minimum, spread_inside_film, soiling, wind_shelter_open.",
    ),
    "a default like another": (
        '[defaults.frame]\nlike = "albedo"',
        "like must be left out for a default, got 'albedo' (rows.toml, defaults.frame). Give its value.",
    ),
}


@pytest.mark.parametrize("name", ROWS)
def test_bad_own_rows(name: str, here: Path) -> None:
    rows, message = ROWS[name]
    (here / "rows.toml").write_text(f'{rows}\nsource = "mine"\n', encoding="utf-8")
    (here / "house.toml").write_text('catalogue = "rows.toml"\n' + sample_text(), encoding="utf-8")
    assert refusal(season("house.toml"), here) == f"{ONE}catalogue: {message}"


@pytest.mark.parametrize(
    ("typed", "value"),
    [('"3 W/(m2 K)"', 3.0), ('"0.5 Btu/(h ft^2 degF)"', 2.83913), ('{ value = 3, unit = "W/(m2 K)" }', 3.0)],
)
def test_an_own_default_is_read_in_its_unit(typed: str, value: float, here: Path) -> None:
    (here / "rows.toml").write_text(f'[defaults.inside_film_minimum]\nvalue = {typed}\nsource = "mine"\n')
    assert catalogue.default("inside_film_minimum", catalogue.read_own(here / "rows.toml")) == pytest.approx(value)


# ---- other commands, and the process itself --------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["heater", "payback"])
def test_other_commands_refuse_alike(name: str, here: Path) -> None:
    (here / "winter.txt").write_text(rows_of(0, 8759), encoding="utf-8")
    assert refusal(command(name, "--sample", "--weather", "winter.txt"), here) == WEATHER["8759 rows"][1]
    old, new, message = HOUSE["a ridge below the eave"]
    (here / "house.toml").write_text(sample_text().replace(old, new), encoding="utf-8")
    assert refusal(command(name, "house.toml"), here) == message


def test_a_look_at_bad_weather(here: Path) -> None:
    content, message = WEATHER["wind of 60 m/s"]
    (here / "winter.txt").write_text(content(), encoding="utf-8")
    result = CliRunner().invoke(app, ["weather", "show", "winter.txt"], prog_name="heatloss")
    assert refusal(result, here) == message


@pytest.mark.parametrize(
    ("words", "start"),
    [
        (["--sample", "--weather", "winter.txt"], "heatloss: temp_air must be between -90 and 60 [degC], got -200 ("),
        (["house.toml"], "heatloss: house.toml has 1 fault:\n  shape.ridge must be higher than shape.eave"),
    ],
)
def test_the_process_ends_with_2_and_a_sentence(words: list[str], start: str, here: Path) -> None:
    (here / "winter.txt").write_text(chicago((1000, 6, "-200")), encoding="utf-8")
    (here / "house.toml").write_text(sample_text().replace('"11 ft"', '"5 ft"'), encoding="utf-8")
    typed = [sys.executable, "-m", "heatloss", "season", *words, "--csv", "hours.csv"]
    done = subprocess.run(typed, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(start)
    assert "Traceback" not in done.stderr
    assert (here / "hours.csv").read_text() == KEPT
