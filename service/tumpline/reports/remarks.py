"""What else there is to say of a shift: what its yield's doubt is made of, alarms, silence, notes and corrections."""

from tumpline.reports.bars import share_bar
from tumpline.reports.drawing import shortened
from tumpline.reports.sheet import Column, paragraphs, table
from tumpline.reports.words import (
    Clock,
    Document,
    count_of,
    duration,
    figure,
    number,
    percent,
    varieties,
    with_interval,
)
from tumpline.wire.markup import Html, el

_SOURCES_SHOWN = 4
_NOTES_SHOWN = 2
_SILENT_SHOWN = 3
_SILENT = 60.0  # s without readings that are worth a word
_LINE = 170.0  # mm of words


def doubt(summary: Document) -> Html | None:
    """What the doubt about the shift's yield is made of; nothing where the document does not say."""
    budget = (summary.get("yield_budget") or [])[:_SOURCES_SHOWN]
    if not budget:
        return None
    columns = (
        Column("source"),
        Column("size, L/t", number=True),
        Column("in this shift"),
        Column("share of the doubt"),
    )
    rows = [
        (
            shortened(one["source"], 90.0),
            number(one["u_l_per_t"], 1),
            "the same throughout" if one["common"] else "random",
            share_bar(f"doubt-{index}", one["share_pct"] / 100.0, 60.0, solid=one["common"]),
        )
        for index, one in enumerate(budget)
    ]
    whole = f"{with_interval(summary, 'yield_l_per_t')} L/t; sizes are standard uncertainties"
    return el("div", el("h2", "Doubt about the yield ", el("small", whole)), table(columns, rows))


def basis(summary: Document) -> str:
    """How the shift's figures were got: the time from mill to juice, the juice's temperature, sampled fruit."""
    said = []
    mean = (summary.get("residence") or {}).get("mean_s")
    if mean:
        why = summary["residence"]["why"]
        said.append(f"Fruit was juice {with_interval(summary['residence'], 'mean_s')} s after the mill, {why}.")
    if summary.get("yield_at_20_c_l_per_t"):
        cold = figure(summary, "juice_temperature_c", 1)
        litres, per_tonne = figure(summary, "juice_at_20_c_l"), figure(summary, "yield_at_20_c_l_per_t")
        said.append(f"Juice was metered at {cold} °C; at 20 °C it is {litres} L, {per_tonne} L/t.")
    sampled = sum(anchor["samples"] for anchor in summary.get("dry_matter_anchors") or ())
    if sampled:
        said.append(f"Pomace dry matter rests on {count_of(sampled, 'oven sample')} of fruit or pomace.")
    return " ".join(said)


def remarks(summary: Document, clock: Clock) -> Html:
    """Alarms, meters that were not heard, and what people noted, each in a line."""
    counts: dict[str, int] = {}
    for alarm in summary["alarms"]:
        counts[alarm["name"]] = counts.get(alarm["name"], 0) + 1
    alarms = ", ".join(f"{name} {count}×" if count > 1 else name for name, count in counts.items()) or "none"
    silent = sorted(summary["signals"], key=lambda signal: -float(signal["missing_s"]))[:_SILENT_SHOWN]
    gaps = ", ".join(f"{s['name']} {duration(s['missing_s'])}" for s in silent if s["missing_s"] > _SILENT)
    said = [f"Alarms: {alarms}.", f"Longest without readings: {gaps or 'none over a minute'}."]
    said.append(
        f"Effectiveness {percent(summary['effectiveness'])}; flume water {with_interval(summary, 'flume_water_l')} L."
    )
    told = [corrected(correction, clock) for correction in summary.get("corrections", ())]
    told += [f"Vat {vat['vat']}: {words}" for vat in summary["vats"] for words in vat.get("outside", ())]
    told += [f"Note: {note}" for note in summary["notes"]]
    said += [shortened(sentence, _LINE) for sentence in told[:_NOTES_SHOWN]]
    return el("div", el("h2", "Remarks"), paragraphs(said))


def corrected(correction: Document, clock: Clock) -> str:
    """A correction in a sentence: who, when, what it is and what it was."""
    was = correction["was"]
    changed = (f"{key} {_told(value)}, was {_told(was.get(key))}" for key, value in correction["is"].items())
    who = correction["by"] or "nobody named"
    return f"Corrected by {who} on {clock.day(correction['at'])}: {'; '.join(changed)}."


def _told(value: object) -> str:
    """What stood in a field, as people would say it."""
    match value:
        case None:
            return "not given"
        case bool() | str():
            return str(value)
        case int() | float():
            return f"{value:g}"
        case [{"name": _, "share": _}, *_]:
            return varieties({"varieties": value})
        case _:
            return str(value)
