"""What the line itself says, in the page's language."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from line_sentences import SPEAKERS, emptied, sentences
from tumpline.adapters.web.line_words import LineWords, tables_of
from tumpline.adapters.web.words import LANGUAGES, Said, Words
from tumpline.pressing.watches import NAMES
from tumpline.wire.catalogue import CATALOGUE, VAT_VOLUME

OTHERS = [language for language in LANGUAGES if language != "en"]
GERMAN = Words("de")
GAPS = re.compile(r"\{(\w+)\}")

UNSAID = {
    "the last row always fits": "is never said",
    "at limit": "is a name in the program",
    "all frozen": "is a name in the program",
    "{}, load {}": "names the doubts of a single load, which the page does not list",
    "accuracy of": "is how some of them begin",
    "error of {}": "names a doubt of the balance, which the page does not list",
    "accuracy of juice/brix": "is a sentence that is there, its gap filled",
    "accuracy of juice/temperature": "is a sentence that is there, its gap filled",
}
"""What is not looked up, and why."""

SAID = (
    (
        (
            "The mill stopped taking fruit within seconds while its current was high: it is probably blocked. "
            "Without a current meter this is less sure."
        ),
        (
            "Die Mühle nahm binnen Sekunden kein Obst mehr, während ihr Strom hoch war: Sie ist wahrscheinlich "
            "verstopft. Ohne Strommesser ist das weniger gewiss."
        ),
    ),
    (
        (
            "Juice is at 70 % of what this fruit gave before. As usual: press pressure, belt wash. Possible: a "
            "leak, belts blinding, or the juice meter. The alarm mill-blocked no longer explains it."
        ),
        (
            "Der Saft steht bei 70 % dessen, was dieses Obst vorher gab. Wie üblich: Pressdruck, Bandwäsche. "
            "Möglich: ein Leck, zugesetzte Bänder oder der Saftmesser. Die Meldung „Mühle verstopft“ erklärt sie "
            "nicht mehr."
        ),
    ),
    (
        (
            "juice/flow, flume/flow have not been heard: sensor, cable or network. mill/current scatters 4.2 "
            "times as much as usual. It comes and goes."
        ),
        (
            "juice/flow, flume/flow werden nicht mehr gehört: Sensor, Kabel oder Netz. mill/current streut "
            "4,2-mal so stark wie üblich. Sie kommt und geht."
        ),
    ),
    (
        "Vat No. 3 is 91 % full.",
        "Tank No. 3 ist zu 91 % voll.",
    ),
    (
        "The fruit meter says about 34 kg (1.2 %) more than the rest bears out.",
        "Die Obstwaage nennt etwa 34 kg (1,2 %) mehr, als der Rest hergibt.",
    ),
    (
        (
            "There is no load 17 in the book; the last ones are 14, 15. Weigh it in first, or write its number as "
            "it was weighed in."
        ),
        (
            "Im Buch steht keine Fuhre 17; die letzten sind 14, 15. Erst einwiegen, oder die Nummer so schreiben, "
            "wie sie eingewogen wurde."
        ),
    ),
    (
        (
            "Vat 3 holds 20000 L and has about 18400 L in it: 2500 L does not go in; up to what it has room for "
            "is accepted."
        ),
        (
            "Tank 3 fasst 20000 L, und etwa 18400 L sind darin: 2500 L gehen nicht hinein; angenommen wird, wofür "
            "er Platz hat."
        ),
    ),
    (
        "not stated while the line is stopped",
        "nicht genannt, solange die Linie steht",
    ),
)


@pytest.mark.parametrize(("english", "german"), SAID, ids=[english for english, _ in SAID])
def test_what_the_line_says_is_said_in_the_pages_language(english: str, german: str) -> None:
    """Sentences one after the other, lists, clauses, numbers and names each find their place."""
    assert GERMAN.line(english) == Said(german)


def test_a_sentence_is_known_whole_or_not_at_all() -> None:
    """Nothing is half translated: what is not known stays as it came, and is marked as English."""
    for text in ("The mill hums.", "It comes and goes. The mill hums.", "The mill hums: it may be blocked."):
        assert GERMAN.line(text) == Said(text, "en")
    assert Words("en").line("The mill hums.") == Said("The mill hums.")


@pytest.mark.parametrize("name", ["x scatters " + 150 * "times " + "x", "a. " * 300, "press pressure 1 %, " * 40])
def test_a_name_that_looks_like_a_sentence_is_a_name(name: str) -> None:
    """Whoever names a load cannot hold up the page with it, however often the name repeats what the line says."""
    text = f"Load {name} is in the book already; nothing is accepted."
    assert GERMAN.line(text) == Said(text, "en")


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("path", SPEAKERS, ids=lambda path: path.stem)
def test_every_sentence_of_the_line_is_in_every_language(path: Path, language: str) -> None:
    """Whatever the line can say of itself has its line in the language's file."""
    known = {emptied(form).strip() for table in tables_of(language).values() for form in table}
    missing = {said for said in map(str.strip, sentences(path)) if said not in known | set(UNSAID)}
    assert missing == set()


@pytest.mark.parametrize("language", OTHERS)
def test_every_signals_meaning_is_in_every_language(language: str) -> None:
    """What a signal measures, and what it would add."""
    words = Words(language)
    said = [text for kind in (*CATALOGUE.values(), VAT_VOLUME) for text in (kind.meaning, kind.adds)]
    assert [text for text in said if words.line(text).lang] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_the_same_gaps(language: str) -> None:
    """Nothing that the line found out is left out, and nothing is asked for that it did not say."""
    for table in tables_of(language).values():
        for english, other in table.items():
            assert sorted(GAPS.findall(english)) == sorted(GAPS.findall(other)), english


def test_english_says_nothing_more_than_the_others() -> None:
    """What is said more plainly in English is known in every language."""
    for language in OTHERS:
        there = tables_of(language)
        assert [(t, e) for t, table in tables_of("en").items() for e in table if e not in there[t]] == []


FORMS = [(language, english) for language in LANGUAGES for english in tables_of(language)["sentences"]]
SPEAKING = {language: LineWords(tables_of(language), decimal=",") for language in LANGUAGES}
FREE = st.text("ABKVW123/ é-", min_size=1, max_size=8).map(str.strip).filter(bool)


def filled(draw: st.DrawFn, language: str, table: str, english: str) -> tuple[str, str]:
    """A form and its translation, their gaps filled with entries of the tables, else with any name or number."""
    tables = tables_of(language)
    values, others = {}, {}
    for gap in GAPS.findall(english):
        known = tables.get(gap)
        free = draw(FREE)
        entry = filled(draw, language, gap, draw(st.sampled_from(sorted(known)))) if known else (free, free)
        values[gap], others[gap] = entry
    return english.format(**values), tables[table][english].format(**others)


@pytest.mark.parametrize(("language", "english"), FORMS)
@settings(max_examples=6, deadline=None)
@given(data=st.data())
def test_every_form_finds_itself_again(language: str, english: str, data: st.DataObject) -> None:
    """However a sentence's gaps are filled, it is the translated one, filled with the same."""
    said, expected = filled(data.draw, language, "sentences", english)
    found = SPEAKING[language].say(said)
    assert found is not None
    assert found.casefold() == expected.casefold()


@pytest.mark.parametrize("language", OTHERS)
def test_every_caution_is_in_every_language(language: str) -> None:
    """Whoever is called reads the caution in the language of the page."""
    cautions = {caution for _, caution in NAMES.values() if caution}
    assert [caution for caution in cautions if Words(language).line(caution).lang] == []
