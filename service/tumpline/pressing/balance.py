"""The line's meters held against each other over one stretch of time: do they agree, and if not, which one is wrong?

Masses only, in kg. A stretch should neither begin nor end while the line fills or drains, or the difference in what it
holds must stand in the uncertainties. What is lost on the way looks like a meter that is wrong.

Terms of one source are one error, common with the same sign to all masses that name it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from msgspec import Struct

from tumpline.pressing.quantities import Estimate, combined, normal, total
from tumpline.pressing.reconciliation import Reconciled, reconcile
from tumpline.pressing.records import Balance, Known, Unknown


class Weighed(Struct, frozen=True):
    """One stream's mass over the stretch, as one meter has it."""

    name: str | None
    """The signal, for `Balance.suspect`; None where it is no signal, such as a weighbridge."""
    mass: Estimate
    """kg."""


Masses = dict[str, Estimate]

_WORDS = {
    "fruit": "the fruit meter",
    "water": "the figure for water coming in on the fruit",
    "juice": "the juice meter",
    "pomace": "the pomace meter",
    "vat": "the level of the vat",
    "trailer": "the weight of the trailer",
    "loads": "the weighed loads",
}
_SETTLING = {
    "vat": ("juice", "a dip of the vat before and after"),
    "trailer": ("pomace", "a trailer weighed empty and full"),
    "loads": ("fruit", "loads weighed in and pressed to the end"),
}
"""What can be weighed besides: the meter it checks, and how to say it."""


class _Verdict(NamedTuple):
    isolable: bool
    advice: str | None
    doubted: tuple[str, ...] = ()
    """Streams that may be wrong, where the meters disagree: one where they can tell, all where nothing can be told."""


def line_balance(
    *,
    fruit: Weighed,
    water: Estimate,
    juice: Weighed,
    pomace: Weighed | None = None,
    vat: Weighed | None = None,
    trailer: Weighed | None = None,
    loads: Weighed | None = None,
) -> Balance:
    """
    Reconcile the masses (kg) of one stretch, and say in words what disagrees and what would settle it.

    `water` is all that comes in besides fruit: water carried in on it, and press aid. `vat` is what the vat's contents
    grew by, `trailer` what the trailer's load grew by, `loads` the weighed masses of the loads that were pressed from
    beginning to end in this stretch. Where no meter weighs the pomace as it leaves, the trailer stands in for it.

    Where the meters disagree, the reconciled masses are what the trusted ones bear out, and Unknown where that is
    nothing.
    """
    given = {
        "fruit": fruit,
        "water": Weighed(None, water),
        "juice": juice,
        "pomace": pomace,
        "vat": vat,
        "trailer": trailer,
        "loads": loads,
    }
    streams = {key: weighed for key, weighed in given.items() if weighed is not None}
    masses = {key: weighed.mass for key, weighed in streams.items()}
    found = _reconcile(masses)
    if found is None:
        return _unchecked(masses)
    verdict = _agreeing(masses, found) if found.statistic <= found.limit else _disagreeing(masses, found)
    return Balance(
        reconciled=_documented(_borne_out(masses, verdict.doubted)),
        residual=_residual(masses),
        statistic=found.statistic,
        limit=found.limit,
        suspect=streams[verdict.doubted[0]].name if len(verdict.doubted) == 1 else None,
        isolable=verdict.isolable,
        advice=verdict.advice,
    )


def _reconcile(masses: Masses) -> Reconciled | None:
    checks = _checks(masses)
    if not checks:
        return None
    return reconcile([mass.value for mass in masses.values()], _covariance(masses.values()), checks)


def _borne_out(masses: Masses, doubted: Collection[str]) -> dict[str, Known]:
    """The reconciled masses, with next to no weight on the doubted ones."""
    known: dict[str, Known] = {}
    weighed = {key: _hardly_counting(key, mass) if key in doubted else mass for key, mass in masses.items()}
    found = _reconcile(weighed)
    for j, key in enumerate(masses):
        if found is None or (key in doubted and len(doubted) > 1):
            known[key] = Unknown("the meters disagree and cannot tell which is wrong")
        else:
            known[key] = combined(zip(weighed.values(), found.weights[j], strict=True))
    return known


def _hardly_counting(key: str, mass: Estimate) -> Estimate:
    return mass.plus(normal(f"error of {_WORDS[key]}", 10.0 * abs(mass.value)))


def _checks(masses: Masses) -> list[list[float]]:
    """What must sum to zero, as rows of coefficients in the order of the masses."""
    pomace = _pomace_key(masses)
    rows = [
        {"fruit": 1.0, "water": 1.0, "juice": -1.0, pomace: -1.0},
        {"juice": 1.0, "vat": -1.0},
        {"loads": 1.0, "fruit": -1.0},
        {"pomace": 1.0, "trailer": -1.0},
    ]
    return [[row.get(key, 0.0) for key in masses] for row in rows if row.keys() <= masses.keys()]


def _pomace_key(known: Collection[str]) -> str:
    """The stream that says how much pomace left: its own meter, or else the trailer."""
    return "trailer" if "trailer" in known and "pomace" not in known else "pomace"


def _residual(masses: Masses) -> Known:
    pomace = _pomace_key(masses)
    if pomace not in masses:
        return Unknown("nothing weighs the pomace")
    return combined(
        ((masses["fruit"], 1.0), (masses["water"], 1.0), (masses["juice"], -1.0), (masses[pomace], -1.0)),
    )


def _documented(masses: Mapping[str, Known]) -> dict[str, Known]:
    """Keys as documents name them, with pomace in any case: where nothing weighs it, what the juice leaves over."""
    pomace = masses.get(_pomace_key(masses)) or _left_over(masses["fruit"], masses["water"], masses["juice"])
    return {f"{key}_kg": mass for key, mass in masses.items()} | {"pomace_kg": pomace}


def _left_over(fruit: Known, water: Known, juice: Known) -> Known:
    if isinstance(fruit, Unknown) or isinstance(water, Unknown) or isinstance(juice, Unknown):
        return Unknown("nothing weighs the pomace, and the meters that would leave it over disagree")
    return combined(((fruit, 1.0), (water, 1.0), (juice, -1.0)))


def _unchecked(masses: Masses) -> Balance:
    """Either nothing is measured twice, or nobody said how well."""
    if _checks(masses):
        advice = "Give the accuracy of the meters in the settings: without it nobody can say whether they agree."
    else:
        advice = f"No meter checks another. {_what_would_tell(masses, ('juice', 'pomace', 'fruit'))}"
    return Balance(
        reconciled=_documented(masses),
        residual=_residual(masses),
        statistic=None,
        limit=None,
        suspect=None,
        isolable=False,
        advice=advice,
    )


def _agreeing(masses: Masses, found: Reconciled) -> _Verdict:
    keys = list(masses)
    twins = [key for j, key in enumerate(keys) if key != "water" and any(keys[k] != "water" for k in found.alike[j])]
    if not twins:
        return _Verdict(True, None)
    return _Verdict(
        False, f"The meters agree; if one went wrong, they could not tell which. {_what_would_tell(masses, twins)}"
    )


def _disagreeing(masses: Masses, found: Reconciled) -> _Verdict:
    """To blame is a meter whose error alone would explain everything, where no other meter's error would."""
    explaining = [key for j, key in enumerate(masses) if found.unexplained(j) <= found.limit_of_unexplained]
    meters = [key for key in explaining if key != "water"]
    if not explaining:
        advice = f"More than one of the meters is wrong. {_what_would_tell(masses, masses)}"
        return _Verdict(False, advice, tuple(masses))
    if len(meters) > 1:
        either = _listed([_WORDS[key] for key in explaining])
        advice = f"Either {either} is wrong, or something was lost; these meters cannot tell which."
        return _Verdict(False, f"{advice} {_what_would_tell(masses, meters)}", tuple(explaining))
    blamed = (meters or explaining)[0]
    advice = _off_by(blamed, masses[blamed].value, found.bias[list(masses).index(blamed)])
    if blamed != "water" and "water" in explaining:
        advice += f" Or {_WORDS['water']} is wrong by as much."
    return _Verdict(True, advice, (blamed,))


def _off_by(key: str, measured: float, bias: float | None) -> str:
    """How far a stream lies from what all the others say."""
    if bias is None or measured - bias <= 0.0:
        return f"{_WORDS[key].capitalize()} does not fit the rest."
    share = 100.0 * abs(bias) / (measured - bias)
    return (
        f"{_WORDS[key].capitalize()} says about {abs(bias):.0f} kg ({share:.1f} %) "
        f"{'more' if bias > 0.0 else 'less'} than the rest bears out."
    )


def _what_would_tell(masses: Masses, among: Collection[str]) -> str:
    """What to weigh besides, to tell these meters apart."""
    ways = [words for key, (meter, words) in _SETTLING.items() if key not in masses and meter in among]
    return f"What would tell: {_listed(ways)}." if ways else "The same check over a longer stretch may tell."


def _listed(words: list[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _covariance(masses: Iterable[Estimate]) -> list[list[float]]:
    """Covariance of masses that share errors where they share sources."""
    sources = [_by_source(mass) for mass in masses]
    return [[sum(u * other.get(source, 0.0) for source, u in one.items()) for other in sources] for one in sources]


def _by_source(mass: Estimate) -> dict[tuple[str, bool], float]:
    return {(t.source, t.limits): t.u for t in total((mass,)).terms}
