"""Tables as they come out of spreadsheets."""

from pathlib import Path

import pytest

from tumpline.app.errors import CommandError, Status
from tumpline.app.tables import read_table


def test_rows_are_read_as_spreadsheets_write_them(tmp_path: Path) -> None:
    """With a mark before the first byte, semicolons with decimal commas, quotes, empty lines and Windows' line ends."""
    head = "\ufeffload;grower;net_kg;varieties\r\n"
    text = f'{head}"L;7";Long Acre;4210,5;Acre Russet\r\n\r\nL-8;Long Acre;3990;Acre Russet\r\n'
    path = tmp_path / "loads.csv"
    path.write_bytes(text.encode())
    rows, bad = read_table("loads", path, "office")
    assert [(number, row["load"], row["net_kg"]) for number, row in rows.items()] == [
        (2, "L;7", 4210.5),
        (4, "L-8", 3990.0),
    ]
    assert bad == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "does not name load, grower, net_kg and varieties"),
        (b"\xff\xfe", "is not UTF-8 from byte 0 on"),
        (b'load,grower,net_kg,varieties\n"L-1,Long Acre', "line 2: unexpected end of data; a table is accepted"),
        (None, "cannot be read (No such file or directory)"),
    ],
)
def test_what_is_no_table_is_said_in_a_sentence(tmp_path: Path, content: bytes | None, words: str) -> None:
    """Nothing is sent, and the file is named."""
    path = tmp_path / "loads.csv"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CommandError) as error:
        read_table("loads", path, None)
    assert error.value.status is Status.BAD_DATA
    assert words in str(error.value) and str(path) in str(error.value)
