"""The weather files that come with the package."""

from __future__ import annotations

from pathlib import Path

_FILES = {
    "chicago": "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw.gz",
    "golden": "724666TYA.CSV.gz",
    "sand_point": "703165TY.csv.gz",
    "northway": "USA_AK_Northway.AP.702910_TMY3.epw.gz",
    "nw_colorado": "nsrdb_psm4_2023_40.53N_108.54W.csv.gz",
    "italy_45n8e": "pvgis_tmy_45.000_8.000_2005_2023.csv.gz",
}

_PACKAGE = Path(__file__).resolve().parents[1]
_FOLDERS = (_PACKAGE / "weather_samples", _PACKAGE.parent / "weather_samples")
"""Inside an installed package; beside the package in a working tree."""


def samples() -> tuple[str, ...]:
    """Names of the packaged weather files, each good for :func:`heatloss.read_weather`.

    Returns
    -------
    tuple of str
        The names.

    Examples
    --------
    >>> samples()[:3]
    ('chicago', 'golden', 'sand_point')
    """
    return tuple(_FILES)


def sample_path(name: str) -> Path | None:
    """Where a packaged file lies.

    Parameters
    ----------
    name : str
        One of :func:`samples`.

    Returns
    -------
    Path or None
        The file; None when the name is no sample's or the file is not there.
    """
    if name not in _FILES:
        return None
    return next((path for folder in _FOLDERS if (path := folder / _FILES[name]).is_file()), None)
