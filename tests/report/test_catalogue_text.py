"""The catalogue in words: every row can be shown, with its sources."""

from __future__ import annotations

import pytest

from heatloss import catalogue
from heatloss.errors import UnknownNameError
from heatloss.report import catalogue_report


def test_kinds_are_listed_with_their_number_of_rows() -> None:
    text = catalogue_report()
    for kind in catalogue.KINDS:
        assert any(line.split()[:2] == [kind, str(len(catalogue.names(kind)))] for line in text.split("\n"))


@pytest.mark.parametrize("kind", catalogue.KINDS)
def test_every_row_is_shown_with_values_and_sources(kind: str) -> None:
    listing = catalogue_report(kind).split("\n")
    for name in catalogue.names(kind):
        assert name in listing
        text = catalogue_report(kind, name)
        assert max(len(line) for line in text.split("\n")) <= 80
        for field, value in catalogue.row(kind, name).fields.items():
            assert f"  {field} = {value.value:.6g}" in text
        assert "[" in text


def test_an_unknown_name_lists_the_nearest_and_picks_none() -> None:
    with pytest.raises(UnknownNameError, match="pellets"):
        catalogue_report("fuels", "pelets")
