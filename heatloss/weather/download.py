"""Typical years fetched from their makers' services, when a person asks for it, and kept in the user's cache folder."""

from __future__ import annotations

import gzip
import json
import os
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from heatloss.errors import UnknownNameError, WeatherError
from heatloss.weather.files import weather_of

CACHE = "HEATLOSS_CACHE"
"""Environment variable that names another cache folder."""
ADDRESS = "HEATLOSS_WEATHER_URL"
"""Environment variable that names another address of the service, such as a mirror."""
SERVICES = ("pvgis", "nsrdb")
TIMEOUT = 30.0
"""How long the service may be silent [s]."""
TRIES = 3
PAUSE = 2.0
"""Before the second try, doubled before each further one [s]."""


def cache_folder() -> Path:
    """Return the folder downloads are kept in, by the custom of the system or by :data:`CACHE`."""
    if named := os.environ.get(CACHE):
        return Path(named)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Caches"
    else:
        base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "heatloss"


def download(
    latitude: float,
    longitude: float,
    *,
    service: str = "pvgis",
    key: str | None = None,
    email: str | None = None,
    refresh: bool = False,
    url: str | None = None,
    timeout: float = TIMEOUT,
    tries: int = TRIES,
    pause: float = PAUSE,
) -> Path:
    """Fetch the typical year of a point, once; later calls find it in the cache folder.

    Parameters
    ----------
    latitude, longitude : float
        North and east positive [deg].
    service : str
        ``"pvgis"`` (European Commission, most of the world) or ``"nsrdb"`` (Americas; wants a key of one's own).
    key, email : str, optional
        What the NSRDB's maker gave and knows a person by.
    refresh : bool
        Fetch again what is in the cache.
    url : str, optional
        Another address of the service; else that of :data:`ADDRESS`, else pvlib's.
    timeout : float
        How long the service may be silent [s].
    tries : int
        How often to ask before giving up.
    pause : float
        Before the second try, doubled before each further one [s].

    Returns
    -------
    Path
        A file that :func:`heatloss.read_weather` reads. It is written whole or not at all, and only once it has passed
        all checks of the reader.

    Raises
    ------
    WeatherError
        When the service refuses, is silent, or answers with something that is no whole year.

    References
    ----------
    .. [1] pvlib ``get_pvgis_tmy`` and ``get_nsrdb_psm4_tmy``.
    """
    for name, value, most in (("latitude", latitude, 90.0), ("longitude", longitude, 180.0)):
        if not -most <= value <= most:
            raise WeatherError(
                f"{name} must be between {-most:g} and {most:g} [deg], got {value:g}. Degrees are decimal, north and "
                "east positive."
            )
    if service not in SERVICES:
        raise UnknownNameError("service", service, SERVICES)
    if service == "nsrdb" and not (key and email):
        raise WeatherError(
            "key and email must be given for the NSRDB, got none. Its maker gives a key away; or take PVGIS, which "
            "wants none."
        )
    ending = "json.gz" if service == "pvgis" else "csv.gz"
    path = cache_folder() / f"{service}_{latitude:.3f}_{longitude:.3f}.{ending}"
    if path.is_file() and not refresh:
        return path
    options: dict[str, Any] = {"timeout": timeout, "map_variables": False}
    if address := url or os.environ.get(ADDRESS):
        options["url"] = address
    if service == "pvgis":
        text = _asked(lambda: _pvgis(latitude, longitude, options), service, tries, pause)
        weather_of(text, path.name, "pvgis_json")
    else:
        options |= {"api_key": key, "email": email}
        text = _asked(lambda: _nsrdb(latitude, longitude, options), service, tries, pause)
        weather_of(text, path.name, "nsrdb")
    _write(path, text)
    return path


def _pvgis(latitude: float, longitude: float, options: Mapping[str, Any]) -> str:
    """The answer of PVGIS, laid out as its own json."""
    from pvlib.iotools import get_pvgis_tmy

    data, meta = get_pvgis_tmy(latitude, longitude, outputformat="json", coerce_year=None, **options)
    inputs = {name: value for name, value in meta["inputs"].items() if name != "descriptions"}
    rows = data.assign(**{"time(UTC)": data.index.strftime("%Y%m%d:%H%M")}).to_dict("records")
    tree = {
        "inputs": inputs,
        "outputs": {"months_selected": meta["months_selected"], "tmy_hourly": rows},
        "meta": {"inputs": meta["inputs"].get("descriptions", {}), "outputs": meta.get("outputs", {})},
    }
    return json.dumps(tree)


def _nsrdb(latitude: float, longitude: float, options: Mapping[str, Any]) -> str:
    """The answer of the NSRDB, laid out as its own csv."""
    from pvlib.iotools import get_nsrdb_psm4_tmy

    data, meta = get_nsrdb_psm4_tmy(latitude, longitude, **options)
    head = [",".join(map(str, meta)), ",".join(str(value) for value in meta.values())]
    return "\n".join([*head, data.to_csv(index=False, lineterminator="\n")])


def _asked(ask: Callable[[], str], service: str, tries: int, pause: float) -> str:
    """What the service answers; faults that may pass are tried again, with longer and longer pauses."""
    import requests

    for attempt in range(1, tries + 1):
        try:
            return ask()
        except requests.HTTPError as error:
            why, again = _refused(error)
        except requests.Timeout:
            why, again = "it was silent for too long", True
        except requests.ConnectionError:
            why, again = "there is no connection", True
        except requests.RequestException:
            why, again = "its answer broke off or was not understood", True
        except (ValueError, KeyError, TypeError, IndexError):  # half an answer, or one of another form
            why, again = "its answer was no whole year", True
        if not again:
            break
        if attempt < tries:
            time.sleep(pause * 2.0 ** (attempt - 1))
    count = "" if not again else f" after {tries} tries"
    raise WeatherError(
        f"{service.upper()} must answer with a year of weather, got none{count}: {why}. "
        "Try later, or download a file by browser and give its name."
    )


def _refused(error: Any) -> tuple[str, bool]:
    """What the service said, and whether asking again may help; never the address, which holds the key."""
    response = error.response
    if response is None:  # a sentence of the service itself
        return f"it says {str(error)[:200]!r}", False
    if response.status_code in (401, 403):
        return f"it refuses the key (HTTP {response.status_code})", False
    return f"HTTP {response.status_code}", response.status_code == 429 or response.status_code >= 500


def _write(path: Path, text: str) -> None:
    """Write a gzipped file whole: under another name first, then moved."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".part", delete=False) as part:
            part.write(gzip.compress(text.encode(), mtime=0))
        os.replace(part.name, path)
    except OSError as error:
        raise WeatherError(
            f"cache folder must be one that can be written to, got {str(path.parent)!r} ({error.strerror}). "
            f"Set {CACHE} to another folder."
        ) from error
