"""Texts and readings of the packaged samples, each read once."""

from __future__ import annotations

import functools
import gzip
from collections.abc import Callable
from pathlib import Path

import pytest

from heatloss.weather import Weather, read_weather
from heatloss.weather.samples import sample_path


@functools.cache
def _text(name: str) -> str:
    path = sample_path(name)
    assert path is not None
    return gzip.decompress(path.read_bytes()).decode()


@pytest.fixture(scope="session")
def text() -> Callable[[str], str]:
    """Text of a sample by name, as it stands in the file."""
    return _text


@pytest.fixture(scope="session")
def sample() -> Callable[[str], Weather]:
    """Weather of a sample by name."""
    return functools.cache(read_weather)


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str], Path]:
    """Write a text to a file named weather.txt and give its path."""

    def write(content: str) -> Path:
        path = tmp_path / "weather.txt"
        path.write_text(content, encoding="utf-8", newline="")
        return path

    return write
