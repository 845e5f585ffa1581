"""The progress bar."""

import io

from tumpline_score.bar import watched


class Terminal(io.StringIO):
    """A screen."""

    def isatty(self) -> bool:
        """Somebody watches."""
        return True


def test_a_bar_where_somebody_watches() -> None:
    """It grows with each item, all of which pass."""
    screen = Terminal()
    assert list(watched("abcd", 4, screen)) == ["a", "b", "c", "d"]
    drawn = screen.getvalue().split("\r")
    assert drawn[1].count("#") == 10 and drawn[-1] == f"[{'#' * 40}] 4/4\n"


def test_silence_where_nobody_does() -> None:
    """Nothing is written into a file or a pipe."""
    pipe = io.StringIO()
    assert list(watched("ab", 2, pipe)) == ["a", "b"]
    assert pipe.getvalue() == ""
