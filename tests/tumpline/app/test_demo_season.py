"""An invented season: a store from which every document can be made."""

from pathlib import Path

import pytest

from tumpline.adapters.sqlite import Archive
from tumpline.app.demo_season import FIRST_DAY, SeasonWish, demo_season
from tumpline.app.errors import CommandError, Status
from tumpline.app.season import season, shift_file
from tumpline.settings import load


def wish(store: Path, **changes: float) -> SeasonWish:
    """Two shifts of a few minutes."""
    return SeasonWish(**{"store": store, "shifts": 2, "seed": 1, "hours": 0.3, "jobs": 2, **changes})  # type: ignore[arg-type] # changes are of the right types


@pytest.fixture(scope="module", name="made")
def _made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str]]:
    """Such a season's store, and what was said while it was made."""
    said: list[str] = []
    store = tmp_path_factory.mktemp("season") / "season.db"
    demo_season(wish(store), say=said.append)
    return store, said


def test_a_season_has_its_shifts_their_traces_and_the_book(made: tuple[Path, list[str]]) -> None:
    """Every shift is summed up once, on its day, with loads, figures and entries; settings lie beside the store."""
    store, said = made
    found = season(store, FIRST_DAY.year)
    assert [summary["start"][:10] for summary in found["summaries"]] == ["2026-09-28", "2026-09-29"]
    assert all(load["fruit_kg"] and load["pressure_bar"] for load in found["loads"])
    first, second = ({vat["vat"] for vat in summary["vats"]} for summary in found["summaries"])
    assert first and second and not first & second
    assert len(shift_file(store, None).trace) > 100
    with Archive(store) as archive:
        assert {"shift-start", "load", "vat", "trailer"} <= {entry.kind for entry in archive.entries()}
    assert load(store.with_suffix(".toml")).store.path == store
    assert "2 of 2 shifts" in said


def test_one_load_was_put_right_days_later(made: tuple[Path, list[str]]) -> None:
    """Both versions of that shift are there, so that people can see what a correction looks like."""
    file = shift_file(made[0], None)
    (before,) = file.earlier
    assert file.summary["loads"][0]["net_kg"] == before["loads"][0]["net_kg"] - 100.0
    (correction,) = file.summary["corrections"]
    assert (correction["by"], correction["kind"]) == ("shift lead", "load")


def test_a_store_that_is_there_is_left_alone(tmp_path: Path) -> None:
    """Nobody's season is overwritten."""
    (tmp_path / "season.db").write_bytes(b"mine")
    with pytest.raises(CommandError, match=r"season\.db is there already") as error:
        demo_season(wish(tmp_path / "season.db"), say=lambda words: None)
    assert error.value.status is Status.BAD_SETTINGS
    assert (tmp_path / "season.db").read_bytes() == b"mine"


def test_half_a_season_is_not_left_behind(tmp_path: Path) -> None:
    """A shift that cannot be simulated ends it with a sentence, and the store can be made again."""
    with pytest.raises(CommandError, match="The simulated line ended with status 2: "):
        demo_season(wish(tmp_path / "season.db", hours=-1.0), say=lambda words: None)
    assert {path.name for path in tmp_path.iterdir()} <= {"season.db.lock"}
