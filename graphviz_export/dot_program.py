"""Where the layout program is, and how it is run: text in, text out, with a limit on time."""

from __future__ import annotations

import os
import shutil
import subprocess
import sysconfig
from pathlib import Path

from trees.errors import PaperError
from trees.language import _, reason_of

TIMEOUT_S = 60.0
WHEEL_PROGRAM = "graphviz-pure"


def find_dot(wanted: str | Path | None = None) -> Path:
    """Return the path of the layout program: the one named, else the one of the graphviz-pure wheel.

    `wanted` is a path or the name of a program on PATH. PaperError if it isn't there.
    """
    if wanted:
        found = shutil.which(wanted)
        if found is None:
            raise PaperError(
                _("The layout program “{wanted}” is not there or can't be run. Name another `dot`, or none.").format(
                    wanted=wanted
                )
            )
        return Path(found)
    suffix = ".exe" if os.name == "nt" else ""
    for scheme in (None, f"{os.name}_user"):  # a `pip install --user` puts programs elsewhere
        folder = sysconfig.get_path("scripts") if scheme is None else sysconfig.get_path("scripts", scheme)
        program = Path(folder) / (WHEEL_PROGRAM + suffix)
        if program.is_file():
            return program
    raise PaperError(
        _(
            "The layout program of the package {WHEEL_PROGRAM} is not in {value}. Install that package, "
            "or name a `dot` of your own."
        ).format(WHEEL_PROGRAM=WHEEL_PROGRAM, value=sysconfig.get_path("scripts"))
    )


def run_dot(text: str, output: str, wanted: str | Path | None = None, timeout_s: float = TIMEOUT_S) -> str:
    """Return what the layout program makes of DOT text; `output` is its name of a format, such as `svg` or `json0`."""
    program = find_dot(wanted)
    try:
        done = subprocess.run(
            [str(program), f"-T{output}"], input=text.encode(), capture_output=True, timeout=timeout_s, check=False
        )
    except subprocess.TimeoutExpired:
        raise PaperError(
            _(
                "The layout program was not ready after {timeout_s:g} s. Such a tree is too large for one "
                "picture; print it as PDF sheets instead."
            ).format(timeout_s=timeout_s)
        ) from None
    except OSError as error:
        raise PaperError(
            _("The layout program {program} can't be run: {strerror}.").format(
                program=program, strerror=reason_of(error)
            )
        ) from None
    if done.returncode != 0 or not done.stdout:
        said = done.stderr.decode(errors="replace").strip().splitlines()
        raise PaperError(
            _("The layout program {program} gave up: {said}.").format(
                program=program, said=said[0] if said else _("it said nothing")
            )
        )
    return done.stdout.decode()
