"""The settings as a whole, once they are read."""

import re
from pathlib import Path

import pytest

from settings_files import FOUR, good, problems, written
from tumpline.pressing.params import ResidenceParams
from tumpline.settings import SettingsError
from tumpline.settings.secrets import SecretError


def test_a_line_becomes_parameters_in_si(tmp_path: Path) -> None:
    """Everything the computation is built from comes out of the file in SI."""
    line = (
        'planned_pressure = "1.4 bar"\n'
        'fruit_dry_matter = "16 %"\njuice_pump = "on-off"\nlateness = "0 s"\nahead = "2 min"\n'
        'stop_after = "90 s"\nlive_every = "500 ms"\nmill_to_juice = { delay = "45 s" }\n'
    )
    settings = good(tmp_path, line=line).lines[0]
    params = settings.params()
    assert (params.id, settings.planned_pressure) == ("line-1", pytest.approx(140_000.0))
    assert (params.rated_throughput, params.expected_yield) == pytest.approx((4 / 3.6, 7e-4))
    assert params.residence == ResidenceParams(delay=45.0, spread=25.0)
    assert (params.juice_pump, params.fruit_dry_matter) == ("on-off", 0.16)
    assert (params.lateness, params.ahead, params.stop_after, params.live_every) == (0.0, 120.0, 90.0, 0.5)
    assert [signal.name for signal in params.signals] == [
        "flume/flow",
        "mill/throughput",
        "press/pressure",
        "juice/flow",
    ]


def test_defaults_are_those_that_are_documented(tmp_path: Path) -> None:
    """What is left out is what the examples say it is."""
    settings = good(tmp_path)
    params = settings.lines[0].params()
    assert (params.lateness, params.ahead, params.stop_after, params.live_every) == (5.0, 60.0, 60.0, 1.0)
    assert (params.juice_pump, params.expected_yield, params.residence) == ("auto", 7e-4, ResidenceParams())
    assert settings.lines[0].planned_pressure is None
    broker = settings.broker
    assert (broker.host, broker.port, broker.root, broker.keepalive) == ("127.0.0.1", 1883, "tumpline", 15.0)
    assert (broker.username, broker.password(), broker.tls) == (None, None, None)
    assert (settings.store.path, settings.store.keep_messages) == (Path("var/tumpline.db"), 7 * 86400.0)
    assert (settings.store.keep_readings, settings.store.keep_figures) == (90 * 86400.0, 400 * 86400.0)
    assert (settings.site.timezone, settings.site.units) == ("UTC", "metric")
    assert settings.influx is None and settings.page is None


def test_an_empty_page_table_is_a_page_on_this_machine_only(tmp_path: Path) -> None:
    """The page is asked for, and opened to others only on purpose."""
    page = good(tmp_path, head="[page]\n").page
    assert page is not None
    assert (page.host, page.port) == ("127.0.0.1", 8080)


def test_the_wire_of_a_line_has_its_root(tmp_path: Path) -> None:
    """Topics lie under the root of the file."""
    settings = good(tmp_path, head='[broker]\nroot = "site/press"\n')
    wire = settings.lines[0].wire(settings.broker.root)
    assert (wire.root, wire.params.id) == ("site/press", "line-1")
    assert set(wire.formats) == {"flume/flow", "mill/throughput", "press/pressure", "juice/flow"}


def test_secrets_are_read_when_they_are_asked_for(tmp_path: Path) -> None:
    """No settings object holds a secret that could be printed."""
    (tmp_path / "password").write_text("s3cret")
    head = f'[broker]\nusername = "press"\npassword_file = "{tmp_path / "password"}"\n'
    head += '[influx]\norg = "works"\nbucket = "press"\n'
    settings = good(tmp_path, head=head)
    assert settings.broker.password() == "s3cret"
    assert settings.influx is not None and settings.influx.token() is None
    assert "s3cret" not in repr(settings)
    (tmp_path / "password").unlink()
    with pytest.raises(SecretError):
        settings.broker.password()


def test_settings_cannot_be_changed(tmp_path: Path) -> None:
    """What was read once holds for the whole run."""
    settings = good(tmp_path)
    with pytest.raises(ValueError, match="frozen"):
        setattr(settings.site, "name", "other")  # noqa: B010  # written plainly, no checker would let it pass


def test_counters_alone_are_enough(tmp_path: Path) -> None:
    """Fruit and juice may be known by counters instead of flows."""
    counters = FOUR.replace("mill/throughput", "mill/total").replace("juice/flow", "juice/total")
    assert len(good(tmp_path, signals=counters).lines[0].signals) == 4


def test_a_reason_has_a_word_in_every_language_and_one_of_its_own(tmp_path: Path) -> None:
    """Where a language has no word for it, the site's own stands."""
    head = '[site]\nstop_reasons = ["cloth", "break"]\nreason_words = { de = { cloth = "Tuch" } }'
    site = good(tmp_path, head=head).site
    assert site.reasons("de") == {"cloth": "Tuch", "break": "break"}
    assert site.reasons("en") == {"cloth": "cloth", "break": "break"}


def test_a_word_for_a_reason_that_is_not_in_the_list_is_a_mistake(tmp_path: Path) -> None:
    """The nearest reason is named."""
    head = '[site]\nstop_reasons = ["cloth", "break"]\nreason_words = { de = { clot = "Tuch" } }'
    (sentence,) = problems(written(tmp_path, head=head))
    assert 'has "clot" in de, no stop reason (did you mean "cloth"?)' in sentence


PAGES = {
    'host = "0.0.0.0"': "lets others reach the page, and nobody could log in",
    'host = "press.local"': "lets others reach the page, and nobody could log in",
    'certificate_file = "page.pem"': "certificate_file and key_file together are accepted",
    'language = "fr"': '"en" or "de" is accepted',
    '[page.proxy]\naddresses = []\norigin = "https://press.example"': "a list of addresses",
    '[page.proxy]\naddresses = ["127.0.0.1"]\norigin = "press.example/x"': "what people type",
}


@pytest.mark.parametrize("text", PAGES)
def test_a_page_that_nobody_could_or_everybody_would_use_is_refused(text: str, tmp_path: Path) -> None:
    """Beyond this computer people must be known; half a certificate is none."""
    with pytest.raises(SettingsError, match=re.escape(PAGES[text])):
        good(tmp_path, head=f"[page]\n{text}\n")


@pytest.mark.parametrize(
    "text",
    [
        'host = "0.0.0.0"\npeople_file = "people.json"',
        'host = "192.0.2.7"\n[page.proxy]\naddresses = ["192.0.2.1"]\norigin = "https://press.example"',
        'host = "::1"',
        'host = "localhost"',
    ],
)
def test_a_page_where_people_are_known_or_which_is_here_alone_is_taken(text: str, tmp_path: Path) -> None:
    """People in a file, a proxy that knows them, or nobody but this computer."""
    assert good(tmp_path, head=f"[page]\n{text}\n").page is not None
