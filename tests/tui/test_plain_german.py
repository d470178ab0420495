"""Plain mode in German: its words are German, the English ones still work, and each sentence names words that work."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest
from german_book import german

from trees.casebook import Casebook
from trees.language import speaking
from tui.plain import Dialogue
from tui.plain_talk import Talk
from tui.plain_words import spoken_words
from tui.settings import Settings
from tui.workshop import Workshop


@pytest.fixture
def workshop(casebook: Casebook, tmp_path: Path) -> Iterator[Workshop]:
    """Return a seat that speaks German."""
    with speaking("de"):
        yield Workshop(german(), casebook, casebook.seat, report_folder=tmp_path, settings=Settings(language="de"))


async def told_by(workshop: Workshop, *lines: str) -> str:
    """Talk in this process and return what was printed."""
    told = StringIO()
    await Dialogue(workshop, Talk(StringIO("\n".join(lines) + "\n"), told)).run()
    return told.getvalue()


PAST_GATE = ("neu raucht weiß beim Start", "1", *("1", "ja") * 8)


async def test_a_job_is_walked_in_german_words(workshop: Workshop, casebook: Casebook) -> None:
    """Begin, safety, caution, answer, trail and notes take German words; a script in English goes on as before."""
    told = await told_by(workshop, *PAST_GATE, "gelesen", "1", "notiz kam im Karton", "ort Telefon", "spur", "beenden")
    assert "Tippen Sie ja" in told
    assert "Genommen: Trocken" in told
    assert "Notiz: kam im Karton" in told
    assert told.endswith("Verlassen. Jede Antwort ist gespeichert.\n")
    kinds = [e.entry.kind for e in casebook.entries(casebook.job("1"))]
    assert {"acknowledged", "note", "place"} <= set(kinds)
    told = await told_by(workshop, "1", "note in English", "again", "help", "quit")
    assert "beenden, quit, q: Verlassen" in told
    assert "notiz, note, j: " in told


async def test_no_english_stands_in_the_german_lines(workshop: Workshop) -> None:
    """Whatever word is typed, what the program says of itself is German; texts of the book stand apart."""
    words = (
        "aufnahme",
        "stoppuhr",
        "rückruf",
        "seriennummer",
        "messgeräte",
        "bericht",
        "kundschaft",
        "foto",
        "prüfung 0",
    )
    told = await told_by(workshop, "hilfe", *PAST_GATE, "hilfe", *words, "auftrag", "unsinn", "notfall")
    english = re.compile(r"\b(the|type|and|with|this|what|not|step|number|yes|is)\b", re.IGNORECASE)
    ours = [
        line for line in told.splitlines() if "Tippen" in line or "nehmen" in line or ", " in line.partition(": ")[0]
    ]
    assert len(ours) > 30
    assert [line for line in ours if english.search(re.sub(r"^[^:]*: |\(.*?\)", "", line))] == []


def test_no_word_means_two_things() -> None:
    """Each German word stands for one English one, and none is the English word for something else."""
    with speaking("de"):
        spoken = spoken_words()
    assert len(set(spoken.values())) == len(spoken)
    assert {german for english, german in spoken.items() if german in spoken and german != english} == set()
    assert all(word == word.lower() and " " not in word for word in spoken.values())


def test_each_sentence_names_words_that_work() -> None:
    """Behind `Tippen Sie` and between backticks stands a word that plain mode knows in German."""
    from catalogue import read

    known = set(spoken_words_in_german())
    wrong = []
    for message in read("de"):
        if not any("tui/plain" in place for place, _line in message.locations) or not isinstance(message.string, str):
            continue
        named = re.findall(r"Tippen Sie ([a-zäöüß]+)", message.string) + re.findall(r"`([^`]+)`", message.string)
        wrong += [f"{word}: {message.string}" for word in named if word not in known | {"quit", "die", "den"}]
    assert wrong == []


def spoken_words_in_german() -> tuple[str, ...]:
    """Return the German words."""
    with speaking("de"):
        return tuple(spoken_words().values())
