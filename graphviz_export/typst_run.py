"""The one place where typst is run: a template of this package and its data in, pages or measures out."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from trees.errors import PaperError
from trees.language import _

if TYPE_CHECKING:
    import typst

FAMILY = "Arimo"
PageFormat = Literal["pdf", "png", "svg"]
Data = Mapping[str, Any]
DOTS_PER_INCH = 150.0
"""Of a PNG."""


@dataclass(frozen=True, slots=True)
class FontChoice:
    """The fonts of one document; `complete` is False if no font at hand has all of its letters."""

    fonts: typst.Fonts
    families: tuple[str, ...]
    complete: bool
    from_system: bool


def choose_fonts(text: str) -> FontChoice:
    """Return Arimo alone if it has every letter of the text, else Arimo before the fonts of this machine."""
    import typst

    folder = str(_font_folder())
    alone = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])
    letters = "".join(sorted({letter for letter in text if not letter.isascii()}))
    if not letters or _shows(letters, alone):
        return FontChoice(alone, (FAMILY,), complete=True, from_system=False)
    wider = typst.Fonts(include_system_fonts=True, include_embedded_fonts=False, font_paths=[folder])
    return FontChoice(wider, (FAMILY,), complete=_shows(letters, wider), from_system=True)


def measure(template: str, data: Data, label: str, fonts: FontChoice) -> Any:
    """Return the value that the template leaves under a label."""
    import typst

    with tempfile.TemporaryDirectory(prefix="sootline-") as folder:
        source = _lay_out(template, data, Path(folder))
        try:
            found = typst.query(str(source), f"<{label}>", field="value", one=True, root=folder, font_paths=fonts.fonts)
        except RuntimeError as error:  # of which the typesetter's own error is a kind
            raise PaperError(_("The pages could not be measured: {error}.").format(error=error)) from error
    return json.loads(found)


def draw(
    template: str,
    data: Data,
    form: PageFormat,
    fonts: FontChoice,
    day: str,
) -> list[bytes]:
    """Return the drawn document: one file as PDF, one a page as PNG or SVG. `day` stands in the file (ISO date)."""
    import typst

    standards: list[typst.PDFStandard] = ["ua-1"] if form == "pdf" and fonts.complete else []
    with tempfile.TemporaryDirectory(prefix="sootline-") as folder:
        source = _lay_out(template, data, Path(folder))
        try:
            made = typst.Compiler(str(source), root=folder, font_paths=fonts.fonts).compile(
                format=form, ppi=DOTS_PER_INCH, pdf_standards=standards, timestamp=_seconds(day)
            )
        except typst.TypstError as error:
            raise PaperError(_("The pages could not be drawn: {message}.").format(message=error.message)) from error
    if made is None:
        raise PaperError(_("The pages could not be drawn: the typesetter gave nothing back."))
    return list(made) if isinstance(made, list) else [made]


def date_of(day: str) -> tuple[int, int, int]:
    """Return year, month and day of an ISO date; the first of 2000 if it is none, so that pages stay the same."""
    try:
        moment = datetime.strptime(day, "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError:
        return 2000, 1, 1
    return moment.year, moment.month, moment.day


def language_of(tag: str) -> tuple[str, str | None]:
    """Return language and region of a tag such as `en-GB`, as typst takes them; English if it is none."""
    language, _other, region = tag.replace("_", "-").partition("-")
    if not (language.isascii() and language.isalpha() and len(language) in (2, 3)):
        return "en", None
    good = region.isascii() and region.isalpha() and len(region) == 2
    return language.lower(), region.upper() if good else None


def _seconds(day: str) -> int:
    return int(datetime(*date_of(day), tzinfo=UTC).timestamp())


def _font_folder() -> Path:
    try:
        import fontpkg_arimo
    except ImportError:
        raise PaperError(_("The font of all paper is missing. Install the package fontpkg-arimo.")) from None
    return Path(fontpkg_arimo.ROOT) / "files"


def _lay_out(template: str, data: Data, folder: Path) -> Path:
    """Put the template and its data beside each other: typst reads nothing outside that folder."""
    for part in Path(__file__).parent.glob("*.typ"):  # one template may import another
        shutil.copyfile(part, folder / part.name)
    source = folder / template
    (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    return source


def _shows(letters: str, fonts: typst.Fonts) -> bool:
    """Say whether the fonts have all letters: a document for screen readers may not hold one that is missing."""
    import typst

    with tempfile.TemporaryDirectory(prefix="sootline-") as folder:
        (Path(folder) / "letters.txt").write_text(letters, encoding="utf-8")
        source = Path(folder) / "letters.typ"
        source.write_text(f'#set document(title: "x")\n#set text(font: "{FAMILY}")\n#read("letters.txt")\n')
        try:
            typst.compile(str(source), root=folder, font_paths=fonts, format="pdf", pdf_standards="ua-1")
        except typst.TypstError:
            return False
    return True
