"""Callers' own sentences, all invented, and the complaint of the shipped book that each must open first."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from shipped_book import shipped

from trees.book import load_book, shipped_book_path
from trees.language import speaking
from tui.finding import SIGN, Finder, Fit, Phrase, alike, letters
from tui.screens.new_job import fit_line

SAID: dict[str, Sequence[str]] = {
    "black_soot": (
        "black smoke from the exhaust pipe",
        "the hull is black above the exhaust",
        "soot all over the deck",
        "there's black stuff on the side of the boat",
        "sooty exhaust",
    ),
    "coked_insert_why": (
        "coked up again after one season",
        "the burner was full of coke again",
        "second time this winter that it is clogged with soot",
    ),
    "coolant": (
        "radiator stays cold, hose is hot",
        "losing coolant all the time",
        "water is not circulating",
        "gurgling in the pipes and one radiator cold",
        "coolant level drops",
        "green water leaks",
        "engine antifreeze is low",
        "radiator cold",
    ),
    "exhaust_inside": (
        "it stinks of exhaust in the cabin",
        "fumes in the cabin",
        "we had headaches last night with the heater on",
        "the co alarm went off",
        "co alarm is beeping, we have headaches",
        "smells of exhaust inside when it runs",
        "carbon monoxide detector beeped",
        "my wife woke up with a headache",
        "there is an exhaust smell in the saloon",
        "the gas alarm keeps beeping when the heater is on",
        "we feel dizzy when it's running",
        "exhaust comes in through the vents",
        "the room is full of smoke",
        "smoke in the cabin",
        "my husband does not wake up",
        "i have a headake",
        "beeping",
    ),
    "fuel_smell": (
        "the whole hut smells of diesel",
        "there is diesel in the bilge under the heater",
        "fuel is dripping from the hose",
        "leaking fuel",
        "strong diesel smell in the cupboard",
        "something drips out of the heater",
        "puddle of diesel",
        "smels of feul",
        "disel leak",
        "puddle under heater",
    ),
    "intake_alone": (
        "came by post without anything",
        "a heater in a box, no paper",
        "arrived in a parcel with no note",
        "just the heater, no tubes",
    ),
    "low_heat": (
        "it's hardly warm at all",
        "air is only lukewarm",
        "the cabin stays cold",
        "switches on and off all the time",
        "blows cold air",
        "not getting warm in the back cabin",
        "heat is weak",
        "always turning itself on and off",
    ),
    "noisy_blower": (
        "it screeches like a bearing",
        "fan rattles",
        "makes a terrible noise",
        "howling and vibrating",
        "humming noise gets louder",
        "sounds like a jet engine",
        "squealing fan",
        "it whistles",
        "it makes funy noises",
    ),
    "overheat": (
        "it gets too hot and shuts itself off",
        "smells of burnt plastic and is very hot",
        "overheats within minutes",
        "air outlet way too hot and then it shuts off",
        "fier!! it burns",
        "it's on fire",
        "flames come out of it",
        "something is glowing",
        "burning smell",
        "the hose is melting",
    ),
    "pump_no_fuel": (
        "pump is clicking but no fuel arrives",
        "I don't hear the pump tick",
        "the fuel pump makes no sound",
        "pump isn't ticking",
        "no fuel is getting through",
    ),
    "smoke_on_start": (
        "lots of white smoke out of the side",
        "it smokes like mad before it lights",
        "clouds of white fog when starting",
        "smoke everywhere when I turn it on",
        "takes ages to light and smokes",
        "wite smok",
        "steam coming out of the pipe",
        "it bangs",
        "an explosion when it lit",
    ),
    "starts_then_stops": (
        "runs ten minutes then cuts out",
        "it keeps shutting down",
        "goes off in the night",
        "flame goes out after a while",
        "works for twenty minutes then dies",
        "starts up fine but goes out again",
        "stops every few hours",
        "it stoped working",
        "it just stopped",
    ),
    "will_not_start": (
        "nothing happens when I switch it on",
        "completely dead, no lamp",
        "doesn't start",
        "it tries three times and gives up",
        "the fan runs but it never lights",
        "heater won't come on",
        "it is blinking and does not heat",
        "it won't start any more",
        "heater does nothing when I switch it on",
        "I press the button and nothing",
        "red light flashing and no heat",
        "clicks and then nothing",
        "it dont work",
        "no heet",
        "wont strat",
        "batery is flat",
        "its freezing in here nothing works",
    ),
    "yearly_service": (
        "please check it before winter",
        "annual check",
        "due for its service",
        "wants a service",
        "needs its yearly check over",
    ),
}


SAID_GERMAN: dict[str, Sequence[str]] = {
    "exhaust_inside": ("mir is schlecht und schwindlig", "meine Frau wacht nicht auf", "der Melder piepst", "Alarm"),
    "overheat": ("es brent", "Feuer!", "da schmort was", "verbrannter Geruch"),
    "fuel_smell": ("es stinkt nach Diesel", "da tropft was", "Diesel läuft aus"),
    "will_not_start": ("Heizung geht nich an", "springt nicht an", "Batterie leer", "blinkt rot"),
    "starts_then_stops": ("geht aus nach 10 Minuten", "geht immer wieder aus"),
    "noisy_blower": ("quietscht", "macht Krach", "klackert"),
    "smoke_on_start": ("weisser Qualm", "es qualmt", "ein Knall"),
    "low_heat": ("nur lauwarm", "es ist eiskalt, das Baby friert"),
    "coolant": ("Kühlwasser fehlt",),
}


@pytest.fixture(scope="module")
def finder() -> Finder:
    """Return the finder of the shipped book."""
    return Finder(shipped())


@pytest.mark.parametrize("tree", sorted(SAID))
def test_each_sentence_opens_its_complaint_first(finder: Finder, tree: str) -> None:
    """The words of each tree hold what callers say of it, so that Enter takes the right one."""
    wrong = {said: first for said in SAID[tree] if (first := finder.fits(said)[0].tree.id) != tree}
    assert not wrong


@pytest.mark.parametrize("tree", sorted(SAID_GERMAN))
def test_german_callers_open_theirs(tree: str) -> None:
    """In the book's German words a German caller's sentence leads to the same complaint."""
    finder = Finder(load_book(shipped_book_path(), language="de"))
    wrong = {said: first for said in SAID_GERMAN[tree] if (first := finder.fits(said)[0].tree.id) != tree}
    assert not wrong


def test_a_sign_that_a_complaint_denies_does_not_lead_to_it(finder: Finder) -> None:
    """`Starts, then goes out` says that it does respond; a caller whose fan stands still is not sent there."""
    phrases = {phrase.text for phrase in finder.phrases["starts_then_stops"]}
    assert "Lamp comes on but the fan does not turn" not in phrases


@pytest.mark.parametrize(
    ("said", "word"), [("fier", "fire"), ("feul", "fuel"), ("strat", "start"), ("exhuast", "exhaust")]
)
def test_two_letters_that_changed_places_are_a_slip(said: str, word: str) -> None:
    """Whoever types while a caller speaks swaps letters; such a word is nearly the same, another is not."""
    assert alike(said, letters(said), word, letters(word)) >= 0.9
    assert alike(said, letters(said), word[::-1], letters(word[::-1])) < 0.9


def test_kind_of_a_phrase_is_said_in_the_language_that_is_spoken(finder: Finder) -> None:
    """By which sign or answer a complaint fits is named in German on a German screen."""
    tree = finder.complaints[0]
    with speaking("de"):
        told = [fit_line(Fit(tree, 1.0, Phrase("x", where, SIGN))).plain for where in ("sign", "answer")]
    assert ["Zeichen" in told[0], "Antwort" in told[1]] == [True, True]
