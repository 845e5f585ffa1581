"""Every knob, read once from a TOML file and frozen. Mistakes are sentences; a secret is never in the file itself."""

from tumpline.settings.describe import describe, warnings
from tumpline.settings.load import SettingsError, load
from tumpline.settings.models import Broker, Influx, Line, Page, Proxy, Role, Settings, Site, Store
from tumpline.settings.secrets import SecretError
from tumpline.settings.signal import Signal
from tumpline.settings.values import is_loopback

__all__ = [
    "Broker",
    "Influx",
    "Line",
    "Page",
    "Proxy",
    "Role",
    "SecretError",
    "Settings",
    "SettingsError",
    "Signal",
    "Site",
    "Store",
    "describe",
    "is_loopback",
    "load",
    "warnings",
]
