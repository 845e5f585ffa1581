"""Everything a line can say, read from its source: each sentence once, its gaps empty."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from source_tree import SERVICE, python_files

PRESSING = SERVICE / "pressing"
SPEAKERS = (
    *python_files(PRESSING / "watches"),
    *(
        PRESSING / f"{name}.py"
        for name in (
            *("condition", "quality", "annunciator", "drift", "balance", "extraction", "massbalance", "solids"),
            *("shift", "load_doubt", "view", "learning", "ledger", "makings", "mistakes", "book"),
        )
    ),
)
"""Where sentences are made that reach the page: conditions, alarms, doubts, why something is unknown or refused."""
_GAP = re.compile(r"\{[^{}]*\}")
_BETWEEN = re.compile(r"(?<=\.)(?:\{\})? |(?<=\.)\{\}$|^\{\} (?=[A-Z])")
_WORD = re.compile(r"[a-z]{2}.* .*[a-z]")


def sentences(path: Path) -> Iterator[str]:
    """The sentences of one module, with `{}` where something is put in; names, keys and joints are left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            silent |= {id(part) for part in ast.walk(node) if isinstance(part, ast.Constant)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield from parted("".join(p.value if isinstance(p, ast.Constant) else "{}" for p in node.values))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield from parted(node.value)


def parted(text: str) -> Iterator[str]:
    """Its sentences, each without what may follow it or go before."""
    for sentence in _BETWEEN.split(emptied(text)):
        if _WORD.search(sentence):
            yield sentence


def emptied(form: str) -> str:
    """A form whose gaps have no name."""
    return _GAP.sub("{}", form)
