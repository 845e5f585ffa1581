"""What the site wants its vats to lie between."""

from pathlib import Path

from settings_files import good, problems, written
from tumpline.pressing.blend import Bounds


def test_the_site_s_bounds_reach_the_line(tmp_path: Path) -> None:
    """Each figure by its name, lowest and highest; those that are left out have none."""
    line = "vats = { acidity_g_per_l = [4.5, 7.5], ph = [3.2, 3.8] }\n"
    bounds = good(tmp_path, line=line).lines[0].params().vat_bounds
    assert bounds == (Bounds("acidity", 4.5, 7.5), Bounds("ph", 3.2, 3.8))
    assert good(tmp_path).lines[0].params().vat_bounds == ()


def test_bounds_that_hold_nothing_between_them_are_refused(tmp_path: Path) -> None:
    """The file, the key, and what is accepted."""
    (problem,) = problems(written(tmp_path, line="vats = { brix = [16.0, 10.5] }\n"))
    assert "line[line-1].vats.brix = [16.0, 10.5] does not go upwards; [lowest, highest] is accepted" in problem
    (unknown,) = problems(written(tmp_path, line="vats = { acid = [4.5, 7.5] }\n"))
    assert "acidity_g_per_l" in unknown
