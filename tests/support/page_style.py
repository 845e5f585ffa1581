"""How Hollow Lane wants its screens."""

from tumpline.adapters.web.words import Clock, Plan, Style, Words

PLANS = {"line-1": Plan(throughput=4.0 / 3.6, extraction=700e-6, pressure=140_000.0)}
"""4 t/h, 700 L/t and 1.4 bar."""


def style(language: str = "en", *, imperial: bool = False, timezone: str = "Europe/London") -> Style:
    """The style of a site in that language."""
    words = Words(language)
    return Style(
        words=words,
        clock=Clock(timezone, words),
        imperial=imperial,
        silent_after=15.0,
        reasons={"no fruit": "no fruit", "break": "break"},
        plans=PLANS,
    )
