"""Every knob, read once from a TOML file and frozen. Mistakes are sentences; a secret is never in the file itself."""

from tumpline.settings.describe import describe, warnings
from tumpline.settings.load import SettingsError, load
from tumpline.settings.models import Broker, Influx, Line, Page, Settings, Site, Store
from tumpline.settings.secrets import SecretError
from tumpline.settings.signal import Signal

__all__ = [
    "Broker",
    "Influx",
    "Line",
    "Page",
    "SecretError",
    "Settings",
    "SettingsError",
    "Signal",
    "Site",
    "Store",
    "describe",
    "load",
    "warnings",
]
