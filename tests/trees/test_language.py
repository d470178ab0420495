"""The language of the interface: which is spoken, and a catalogue that is whole, true to its source and compiled."""

from __future__ import annotations

import string
import subprocess
import sys

import catalogue
import pytest

from trees.language import (
    LANGUAGES,
    N_,
    Said,
    _,
    listed_and,
    listed_or,
    ngettext,
    pgettext,
    said,
    speaking,
    spoken,
    use,
    wanted,
)

OTHERS = [language for language in LANGUAGES if language != "en"]


@pytest.mark.parametrize(
    ("setting", "environment", "language"),
    [
        ("", {}, "en"),
        ("de", {"LANG": "en_GB.UTF-8"}, "de"),
        ("en", {"LANG": "de_DE.UTF-8"}, "en"),
        ("", {"LANG": "de_AT.UTF-8"}, "de"),
        ("", {"LANG": "de_DE@euro"}, "de"),
        ("", {"LANG": "fr_FR.UTF-8"}, "en"),
        ("", {"LANGUAGE": "fr:de:en", "LANG": "fr_FR.UTF-8"}, "de"),
        ("", {"LANGUAGE": "de", "LANG": "C"}, "en"),
        ("", {"LANGUAGE": "de", "LC_ALL": "C.UTF-8"}, "en"),
        ("", {"LC_ALL": "en_US.UTF-8", "LANG": "de_DE.UTF-8"}, "en"),
        ("", {"LC_MESSAGES": "de_CH.UTF-8", "LANG": "en_US.UTF-8"}, "de"),
        ("", {"LC_ALL": "", "LANG": "de"}, "de"),
    ],
)
def test_the_setting_comes_before_the_environment(setting: str, environment: dict[str, str], language: str) -> None:
    """The setting; else LANGUAGE, which the locale C silences; else the first set of LC_ALL, LC_MESSAGES, LANG."""
    assert wanted(setting, environment) == language


def test_a_text_is_looked_up_when_it_is_shown() -> None:
    """A table made once, and a text marked once, speak the language of the moment and go back to English."""
    table = Said({"stop": N_("STOP")})
    with speaking("de"):
        assert (spoken(), _("Complaint"), table["stop"], said([N_("End")])) == ("de", "Beschwerde", "HALT", ("Ende",))
    assert (spoken(), _("Complaint"), table["stop"], dict(table)) == ("en", "Complaint", "STOP", {"stop": "STOP"})


def test_one_and_many() -> None:
    """One thing takes the singular, none and several the plural, in both languages."""
    forms = [ngettext("1 job", "{n} jobs", n).format(n=n) for n in (0, 1, 2)]
    assert forms == ["0 jobs", "1 job", "2 jobs"]
    with speaking("de"):
        assert [ngettext("1 job", "{n} jobs", n).format(n=n) for n in (0, 1, 2)] == [
            "0 Aufträge",
            "1 Auftrag",
            "2 Aufträge",
        ]


def test_a_word_of_two_meanings() -> None:
    """The state of a job and the name of a key are one word in English and two in German."""
    assert pgettext("job", "Open") == _("Open") == "Open"
    with speaking("de"):
        assert (pgettext("job", "Open"), _("Open")) == ("Offen", "Öffnen")


def test_lists_in_words() -> None:
    """Commas and a word before the last, another word where one of them holds."""
    assert (listed_and(["a"]), listed_and(["a", "b", "c"]), listed_or(["a", "b"])) == ("a", "a, b and c", "a or b")
    assert (listed_or(["a"]), listed_or(["a", "b", "c"])) == ("a", "a, b or c")
    with speaking("de"):
        assert (listed_and(["a", "b", "c"]), listed_or(["a", "b"])) == ("a, b und c", "a oder b")


def test_what_no_catalogue_has_is_english() -> None:
    """A language without a catalogue, and a text that none has, are spoken as they are written; no text stays none."""
    use("fr")
    assert spoken() == "en"
    with speaking("de"):
        assert (_("a text of a book"), _("")) == ("a text of a book", "")


def test_english_reads_no_catalogue() -> None:
    """Neither gettext nor a file of texts is opened for English: the start costs what it did."""
    probe = (
        "import sys; from trees.language import _, use, wanted; use(wanted('', {})); assert _('End') == 'End'; "
        "sys.exit('gettext' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-I", "-c", probe], check=False).returncode == 0


@pytest.mark.parametrize("language", OTHERS)
def test_the_catalogue_has_exactly_the_texts_of_the_source(language: str) -> None:
    """Every marked text stands in the .po file and nothing else; `make catalogue` mends it."""
    wanted_texts = {(m.context or None, m.text) for m in catalogue.messages()}
    kept = {(m.context, m.id[0] if isinstance(m.id, tuple) else m.id) for m in catalogue.read(language) if m.id}
    assert (sorted(map(str, wanted_texts - kept)), sorted(map(str, kept - wanted_texts))) == ([], [])


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_is_translated(language: str) -> None:
    """No text of the interface is left in English."""
    left = [
        message.id
        for message in catalogue.read(language)
        if message.id and not (all(message.string) if isinstance(message.string, tuple) else message.string)
    ]
    assert left == []


def fields(text: str) -> list[tuple[str, str, str]]:
    """Return what is filled into a text: name, conversion, format."""
    return sorted(
        (name, turned or "", form or "") for _text, name, form, turned in string.Formatter().parse(text) if name
    )


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_is_filled_in_as_its_source(language: str) -> None:
    """Same names, same formats, and the blanks at both ends by which pieces are joined."""
    wrong = []
    for message in catalogue.read(language):
        if not message.id:
            continue
        sources = message.id if isinstance(message.id, tuple) else (message.id,)
        texts = message.string if isinstance(message.string, tuple) else (message.string,)
        for source, text in zip(sources, texts, strict=True):
            ends = [(len(t) - len(t.lstrip(" ")), len(t) - len(t.rstrip(" "))) for t in (source, text)]
            if fields(source) != fields(text) or ends[0] != ends[1]:
                wrong.append((source, text))
    assert wrong == []


@pytest.mark.parametrize("language", OTHERS)
def test_what_is_shipped_is_what_the_source_compiles_to(language: str) -> None:
    """The .mo file equals the compiled .po file, byte by byte."""
    assert (catalogue.FOLDER / f"{language}.mo").read_bytes() == catalogue.mo_bytes(catalogue.read(language))


def test_danger_is_named_as_danger() -> None:
    """The grades of a caution and what kills have the words that a German reader knows from labels."""
    with speaking("de"):
        assert (_("DANGER"), _("WARNING"), _("CAUTION")) == ("GEFAHR", "WARNUNG", "VORSICHT")
        assert "Kohlenmonoxid" in _("Carbon monoxide: alarm, headache, sickness, sleepiness")
