"""Reading the settings file: every mistake is a sentence with file, key, value and what is accepted."""

from pathlib import Path

import pytest

from settings_files import FOUR, problems, written
from tumpline.settings import SettingsError, load


def one(path: Path) -> str:
    """The one thing that is wrong."""
    (sentence,) = problems(path)
    return sentence


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        (
            "[pge]",
            'pge is not a setting (did you mean "page"?); site, broker, store, influx, notices, page or line is',
        ),
        ('[site]\nnme = "x"', 'site.nme is not a setting (did you mean "name"?); name, timezone, units, stop_reasons'),
        (
            '[site]\ntimezone = "Europe/Londn"',
            'site.timezone: "Europe/Londn" is no time zone (did you mean "Europe/London"?)',
        ),
        ('[site]\ntimezone = "../etc"', 'site.timezone: "../etc" is no time zone'),
        ('[site]\nunits = "us"', 'site.units = "us" cannot be used; "metric" or "imperial" is accepted.'),
        ("[site]\nname = 5", "site.name = 5 cannot be used; a name is accepted."),
        ("site = 5", "site = 5 cannot be used; a table is accepted."),
        ("[broker]\nport = 99999", "broker.port = 99999 cannot be used; a port from 1 to 65535 is accepted."),
        ('[broker]\nroot = "a/#"', 'broker.root = "a/#" cannot be used; topic levels of letters'),
        ('[broker]\nkeepalive = "15"', 'broker.keepalive: "15" is not a number with a unit of s, ms, min, h or d;'),
        ('[broker]\npassword = "x"', 'broker.password is not a setting (did you mean "password_file"?)'),
        (
            '[broker]\npassword_file = "a"\npassword_env = "B"',
            'broker.password_env = "B" stands beside password_file; one',
        ),
        ('[broker]\npassword_file = "/none"', 'broker.password_file = "/none": the file cannot be read (No such file'),
        (
            '[broker]\npassword_env = "TUMPLINE_NONE"',
            "the environment variable TUMPLINE_NONE is not set; one that this",
        ),
        ('[broker.tls]\nca_file = "/none"', 'broker.tls.ca_file = "/none": there is no such file'),
        ('[broker.tls]\nca = "/none"', "broker.tls.ca is not a setting"),
        ('[influx]\norg = "works"', "influx.bucket is missing; a name is accepted."),
        ('[influx]\nurl = "x"\norg = "o"\nbucket = "b"', 'influx.url = "x" cannot be used; an address with http:// or'),
        (
            '[influx]\norg = "o"\nbucket = "b"\ntoken_file = "/none"',
            'influx.token_file = "/none": the file cannot be read',
        ),
        ('[store]\nkeep_messages = "0 d"', 'store.keep_messages: "0 d" is not above zero; a time such as "7 d" is'),
    ],
)
def test_mistakes_about_the_site_are_named(tmp_path: Path, head: str, sentence: str) -> None:
    """Key, value and what is accepted stand in one sentence."""
    assert sentence in one(written(tmp_path, head=head))


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ('rated = "4 t/h"', 'line[line-1].rated is not a setting (did you mean "rated_throughput"?)'),
        ('expected_yield = "700"', 'line[line-1].expected_yield: "700" is not a number with a unit of m3/kg, L/t'),
        ('expected_yield = "700 kg"', 'line[line-1].expected_yield: "700 kg" is not a number with a unit'),
        ('expected_yield = "-1 L/t"', 'line[line-1].expected_yield: "-1 L/t" is not above zero'),
        (
            'fruit_dry_matter = "160 %"',
            'line[line-1].fruit_dry_matter = "160 %" cannot be used; a share such as "16 %"',
        ),
        ("mill_to_juice = { delay = 45 }", "line[line-1].mill_to_juice.delay: 45 is not a number with a unit of s,"),
        (
            'mill_to_juice = { dely = "45 s" }',
            'line[line-1].mill_to_juice.dely is not a setting (did you mean "delay"?)',
        ),
        ('juice_pump = "maybe"', 'line[line-1].juice_pump = "maybe" cannot be used; "steady", "on-off" or "auto"'),
        ('lateness = "-5 s"', 'line[line-1].lateness: "-5 s" is below zero'),
        ('stop_after = "0 s"', 'line[line-1].stop_after: "0 s" is not above zero'),
    ],
)
def test_mistakes_about_a_line_are_named(tmp_path: Path, line: str, sentence: str) -> None:
    """A line is named by its id."""
    assert sentence in one(written(tmp_path, line=line))


@pytest.mark.parametrize(
    ("signal", "sentence"),
    [
        ('name = "mill/curent"', '.name = "mill/curent" is no signal (did you mean "mill/current"?); flume/flow'),
        ('unit = "A"', "signal[5].name is missing; one of flume/flow"),
        (
            'name = "mill/current"\nunit = "V"',
            '[mill/current].unit = "V" does not measure mill motor current; A or mA is',
        ),
        ('name = "mill/current"\nrang = [0, 1]', '[mill/current].rang is not a setting (did you mean "range"?)'),
        (
            'name = "mill/current"\nrange = [8, 0]',
            "[mill/current].range = [8, 0] does not go upwards; [low, high] with low",
        ),
        (
            'name = "mill/current"\nrange = [1]',
            "[mill/current].range[2] is missing; [low, high] the sensor can measure",
        ),
        ('name = "mill/current"\nrange = [0, nan]', "range[2] = NaN cannot be used"),
        (
            'name = "mill/current"\naccuracy = "good"',
            '.accuracy = "good" has "good", which is no limit; "1.5 % of reading"',
        ),
        ('name = "mill/current"\naccuracy = "1 % of span"', 'has "1 % of span" but there is no "range"'),
        ('name = "mill/current"\nstale_after = "5"', '.stale_after: "5" is not a number with a unit of s'),
        ('name = "mill/current"\npayload = "xml"', '.payload = "xml" cannot be used; "senml", "number", "json" or'),
        ('name = "mill/current"\npayload = "json"', '.pointer is missing; payload = "json" needs one such as'),
        (
            'name = "mill/current"\npayload = "json"\npointer = "x"',
            '.pointer = "x" is no JSON pointer; one that starts',
        ),
        ('name = "mill/current"\npointer = "/x"', '.pointer = "/x" does not go with payload = "senml"; "json" or'),
        ('name = "mill/current"\ntime_pointer = "/x"', '.time_pointer = "/x" needs a "pointer"'),
        ('name = "mill/current"\npayload = "scaled"\nfrom = [4, 20]', '.to is missing; payload = "scaled" needs both'),
        ('name = "mill/current"\nto = [0, 9]', '.to = [0, 9] does not go with payload = "senml"; "scaled" is accepted'),
        ('name = "mill/current"\npayload = "scaled"\nfrom = [4, 4]\nto = [0, 9]', ".from = [4, 4] does not go upwards"),
        ('name = "mill/current"\npayload = "scaled"\nfrom = [4, 20]\nto = [9, 9]', ".to = [9, 9] has no width"),
        ('name = "mill/current"\ntopic = "a/#"', '.topic = "a/#" is a pattern; a topic without + or # is accepted'),
        ('name = "mill/current"\nrollover = "5 A"', '.rollover = "5 A" belongs to counters; mill/current is none'),
        ('name = "mill/total"\nrollover = "5 L"', '.rollover = "5 L" is no capacity; a number with a unit of kg, t'),
        ('name = "mill/total"\nrollover = "0 kg"', '.rollover = "0 kg" holds nothing; a capacity above 0'),
    ],
)
def test_mistakes_about_a_signal_are_named(tmp_path: Path, signal: str, sentence: str) -> None:
    """A signal is named by its name, or by its place where it has none."""
    found = one(written(tmp_path, tail=f"[[line.signal]]\n{signal}\n"))
    assert sentence in found and found.startswith("line[line-1].signal[")


@pytest.mark.parametrize(
    ("signals", "sentence"),
    [
        ('[[line.signal]]\nname = "mill/throughput"\n', "names nothing that measures juice, so nothing can be"),
        ('[[line.signal]]\nname = "juice/total"\n', "names nothing that measures fruit, so nothing can be computed"),
        (FOUR + '[[line.signal]]\nname = "juice/flow"\n', 'names "juice/flow" more than once; each signal once is'),
        (FOUR + '[[line.signal]]\nname = "mill/total"\npayload = "number"\ntopic = "a"\n'
         '[[line.signal]]\nname = "juice/total"\npayload = "number"\ntopic = "a"\n', 'has the topic "a" several times'),
        ("", "line[line-1].signal is missing; [[line.signal]] tables is accepted"),
    ],
)  # fmt: skip
def test_a_line_needs_fruit_and_juice_and_each_signal_once(tmp_path: Path, signals: str, sentence: str) -> None:
    """What could not be computed with, or would be read twice, is told before anything starts."""
    assert sentence in one(written(tmp_path, signals=signals))


def test_lines_may_not_collide(tmp_path: Path) -> None:
    """Two lines have two ids, and no transmitter belongs to both."""
    shared = '[[line.signal]]\nname = "mill/current"\ntopic = "a/b"\n'
    second = f'[[line]]\nid = "line-1"\nrated_throughput = "4 t/h"\n{FOUR}{shared}'
    assert 'has the id "line-1" more than once' in one(written(tmp_path, tail=second))
    second = second.replace("line-1", "line-2")
    assert 'reads "a/b" for line-1 and line-2' in one(written(tmp_path, signals=FOUR + shared, tail=second))


def test_a_line_does_not_read_what_the_program_writes(tmp_path: Path) -> None:
    """Nothing the program says comes back as a measurement."""
    own = '[[line.signal]]\nname = "mill/current"\ntopic = "tumpline/line-1/live"\n'
    assert 'reads "tumpline/line-1/live", which this program writes' in one(written(tmp_path, tail=own))


def test_no_line_is_no_site(tmp_path: Path) -> None:
    """A file without a line has nothing to do."""
    path = tmp_path / "site.toml"
    path.write_text("")
    assert one(path) == "line is missing; [[line]] tables is accepted."
    path.write_text("line = []")
    assert "names no line; at least one [[line]] is accepted." in one(path)


def test_everything_that_is_wrong_is_said_at_once(tmp_path: Path) -> None:
    """Nobody has to run it again to see the next mistake."""
    path = written(tmp_path, head='[site]\nunits = "us"\n[broker]\nport = 0\n', line='stop_after = "x"\n')
    assert len(problems(path)) == 3


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "cannot be read (No such file or directory); a TOML file is accepted."),
        (b"[site\n", "is not TOML (Expected ']'"),
        (b"[site]\nname = '\xff'\n", "is not UTF-8 text (byte 15)"),
    ],
)
def test_a_file_that_is_no_settings_file_is_told(tmp_path: Path, content: bytes | None, words: str) -> None:
    """The sentence says what kind of file is wanted, and where it stops being one."""
    path = tmp_path / "site.toml"
    if content is not None:
        path.write_bytes(content)
    assert words in one(path)


def test_secrets_can_be_left_alone(tmp_path: Path) -> None:
    """A replay needs neither broker nor store, so it does not fail for want of their passwords."""
    path = written(tmp_path, head='[broker]\npassword_file = "/none"\n')
    assert load(path, secrets=False).broker.host == "127.0.0.1"


def test_the_error_can_be_printed(tmp_path: Path) -> None:
    """Its text is one sentence a line."""
    with pytest.raises(SettingsError) as error:
        load(written(tmp_path, head='[site]\nunits = "us"\n[broker]\nport = 0\n'))
    assert str(error.value).splitlines() == error.value.problems
