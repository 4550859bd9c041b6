"""Finding a weather file, opening it, telling its format by its content."""

from __future__ import annotations

import gzip
import os
import re
import warnings
import zlib
from collections.abc import Callable
from pathlib import Path

from heatloss.errors import InputError, UnknownNameError, WeatherError, nearest
from heatloss.weather import epw, nsrdb, pvgis, tmy2, tmy3
from heatloss.weather.gaps import fill_word
from heatloss.weather.measured import is_isd_lite, isd_lite, measured_weather, paired
from heatloss.weather.normals import normals_of
from heatloss.weather.record import Record
from heatloss.weather.samples import sample_path, samples
from heatloss.weather.synthetic import synthetic_year
from heatloss.weather.weather import Weather

_READERS: dict[str, Callable[[str, str], Record]] = {
    "tmy3": tmy3.read,
    "tmy2": tmy2.read,
    "epw": epw.read,
    "pvgis_csv": pvgis.read_csv,
    "pvgis_json": pvgis.read_json,
    "nsrdb": nsrdb.read,
}

KINDS = (*_READERS, "isd_lite", "measured", "normals")
"""Format words of :func:`read_weather`."""


def read_weather(
    path: str | os.PathLike[str],
    kind: str | None = None,
    *,
    fill: str | None = None,
    sun: str | os.PathLike[str] | Weather | None = None,
) -> Weather:
    """Read a weather file or a packaged sample.

    Parameters
    ----------
    path : str or path
        A file, gzipped or not, or a name of :func:`heatloss.weather.samples`.
    kind : str, optional
        Format word, one of ``tmy3``, ``tmy2``, ``epw``, ``pvgis_csv``, ``pvgis_json``, ``nsrdb``, ``isd_lite``,
        ``measured`` (a table that names measured files), ``normals`` (monthly normals); without it the content tells.
    fill : str, optional
        ``"short"`` fills gaps of up to six hours and says which; without it any gap is refused.
    sun : str, path or Weather, optional
        A typical year of the place, which ``isd_lite`` needs since it holds no sun.

    Returns
    -------
    Weather
        Checked hours of the place.

    Raises
    ------
    UnknownNameError
        For an unknown kind.
    WeatherError
        For a file that is missing, of another format, cut short, with gaps, with impossible values.

    Examples
    --------
    >>> weather = read_weather("chicago")
    >>> round(weather.degree_days(18.0)), weather.mid_offset
    (3430, 30.0)
    """
    if kind is not None and kind not in KINDS:
        raise UnknownNameError("kind", kind, KINDS)
    file = _found(path)
    source = str(path) if str(path) in samples() else file.name
    return weather_of(_text(file, source), source, kind, fill=fill, sun=sun, folder=file.parent)


def weather_of(
    text: str,
    source: str,
    kind: str | None = None,
    *,
    fill: str | None = None,
    sun: str | os.PathLike[str] | Weather | None = None,
    folder: Path | None = None,
) -> Weather:
    """Weather from the text of a file.

    Parameters
    ----------
    text : str
        The content.
    source : str
        Name of the file, for messages.
    kind : str, optional
        Format word of :data:`KINDS`; without it the content tells.
    fill : str, optional
        As :func:`read_weather`.
    sun : str, path or Weather, optional
        As :func:`read_weather`.
    folder : path, optional
        Where files that the text names are looked for.

    Returns
    -------
    Weather
        Checked hours of the place.

    Raises
    ------
    WeatherError
        For text that is no whole weather file.
    """
    fill_word(fill)
    kind = kind or _sniffed(text, source)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the readers' remarks on mixed columns; the values are checked below
        try:
            if kind in _READERS:
                record = _READERS[kind](text, source)
            else:
                return _made(text, source, kind, fill, sun, folder or Path())
        except InputError:
            raise
        except Exception as error:  # a reader may fail on a damaged file in any way
            raise WeatherError(
                f"weather file must be a whole {kind} file, got one that does not read as such ({source}: "
                f"{_first_line(error)}). Download it again, or say its format with kind."
            ) from error
    return Weather.from_record(record, fill=fill)


def _made(
    text: str, source: str, kind: str, fill: str | None, sun: str | os.PathLike[str] | Weather | None, folder: Path
) -> Weather:
    """Weather of the kinds that are no whole year by themselves."""
    if kind == "normals":
        return synthetic_year(normals_of(text, source), source=source)

    def near(name: str | os.PathLike[str]) -> str | os.PathLike[str]:
        beside = folder / name
        return name if str(name) in samples() and not beside.is_file() else beside

    if kind == "measured":
        return measured_weather(
            text,
            source,
            opened=lambda name: _text(_found(near(name)), name),
            typical_of=lambda name: read_weather(near(name)),
            fill=fill,
        )
    if sun is None:
        raise WeatherError(
            f"sun must name a typical year for a file without sun, got none ({source}). Give one of the same place."
        )
    typical = sun if isinstance(sun, Weather) else read_weather(sun)
    return paired(isd_lite(text, source, typical.site.utc_offset, fill=fill), typical, source, kind)


def _found(path: str | os.PathLike[str]) -> Path:
    """The file that a path or sample name means; a file that exists comes first."""
    file = Path(path)
    try:
        exists, folder = file.is_file(), bool(str(path)) and file.is_dir()
    except (OSError, ValueError):  # a name too long, or with a zero byte
        exists, folder = False, False
    packaged = None if exists else sample_path(str(path))
    if exists or packaged:
        return packaged or file
    close = nearest(str(path), samples())
    hint = f"Did you mean {' or '.join(close)}?" if close else "Check the folder and the spelling."
    got = f"{str(path)!r} (a folder). Name the file in it." if folder else f"{str(path)!r} (no such file). {hint}"
    raise WeatherError(f"weather must be a file or one of the samples {', '.join(samples())}, got {got}")


def _text(file: Path, source: str) -> str:
    """Content of a file, unpacked if gzipped; UTF-8, else Latin-1."""
    try:
        content = file.read_bytes()
        if content[:2] == b"\x1f\x8b":
            content = gzip.decompress(content)
    except (OSError, EOFError, zlib.error) as error:
        raise WeatherError(
            f"weather file must be readable, got a file that cannot be opened or unpacked ({source}: "
            f"{_first_line(error)}). Download it again."
        ) from error
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _sniffed(text: str, source: str) -> str:
    """The format that the first two lines show."""
    first, _, rest = text[:4000].lstrip().partition("\n")
    if first.startswith("LOCATION,"):
        return "epw"
    if rest.startswith("Date (MM/DD/YYYY)"):
        return "tmy3"
    if first.startswith("Latitude (decimal degrees)"):
        return "pvgis_csv"
    if first.startswith("Source,Location ID"):
        return "nsrdb"
    if first.startswith("{"):
        return "pvgis_json"
    if is_isd_lite(text):
        return "isd_lite"
    if tmy2.is_head(text):
        return "tmy2"
    for table in ("normals", "measured"):
        if re.search(rf"^\[{table}\]", text[:4000], re.MULTILINE):
            return table
    hint = "Unzip it first." if text.startswith("PK") else f"Say which with kind: {', '.join(KINDS)}."
    got = f"one that starts with {first[:30]!r} ({source}). {hint}"
    if not first:
        got = f"an empty file ({source}). Download it again."
    raise WeatherError(f"weather file must be one of those README lists, got {got}")


def _first_line(error: Exception) -> str:
    """What a foreign error says, cut to one short line that prints."""
    lines = str(error).strip().splitlines()
    line = lines[0][:80] if lines else type(error).__name__
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in line)
