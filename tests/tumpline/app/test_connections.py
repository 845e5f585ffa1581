"""How the broker is reached."""

from pathlib import Path

from settings_files import FOUR, good
from tumpline.app.connections import account, subscriptions
from tumpline.wire.topics import Topics


def test_signals_with_topics_of_their_own_are_subscribed_to(tmp_path: Path) -> None:
    """A transmitter that publishes elsewhere is heard beside everything below the line."""
    own = FOUR + 'topic = "meters/juice"\npayload = "number"\n'
    assert subscriptions(good(tmp_path, signals=own).lines[0], Topics("tumpline")) == [
        "tumpline/line-1/signal/#",
        "tumpline/line-1/book/+",
        "meters/juice",
    ]


def test_the_broker_is_reached_as_the_settings_say(tmp_path: Path) -> None:
    """Name, password and TLS of the settings are those used."""
    secret = tmp_path / "password"
    secret.write_text("perry\n")
    head = f'[broker]\nhost = "press.test"\nport = 8883\nusername = "works"\npassword_file = "{secret}"\n[broker.tls]'
    used = account(good(tmp_path, head=head))
    assert (used.where, used.username, used.password, used.tls) == ("press.test:8883", "works", "perry", True)
