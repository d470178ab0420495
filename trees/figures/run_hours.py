"""What run hours and starts say of the way a unit is used."""

from __future__ import annotations

from collections.abc import Mapping

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

_HOURS = (0.0, 200_000.0)
LOW = Input("h", "Run hours at the lowest output step", _HOURS)
MEDIUM = Input("h", "Run hours at the steps between lowest and full; 0 if there are none", _HOURS)
HIGH = Input("h", "Run hours at full output", _HOURS)
STARTS = Input("1", "Starts counted by the controller, also failed ones if it counts them", (1.0, 1_000_000.0))


def _total(low: float, medium: float, high: float) -> float:
    total = low + medium + high
    if total <= 0:
        raise OutOfRangeError(_("The unit has no run hours yet: a share or a mean run can't be worked out."))
    return total


def _profile(given: Mapping[str, float]) -> Details:
    low, medium, high, starts = given["low"], given["medium"], given["high"], given.get("starts", 0.0)
    total = _total(low, medium, high)
    steps = ((_("lowest"), low), (_("steps between"), medium), (_("full output"), high))
    values = [Detail(_("Share at {name}").format(name=name), hours / total, "1") for name, hours in steps]
    remarks = []
    if starts > 0:
        values.append(Detail(_("Starts for each run hour"), starts / total, "1/h"))
        if starts > total:
            remarks.append(
                _("More than one start in each run hour: short runs, each leaves residue (rule from memory).")
            )
    if low / total > 0.5:
        remarks.append(_("More than half at lowest: the burner stays too cool to clean itself (rule from memory)."))
    elif low / total < 0.3 and starts / total < 0.5:
        remarks.append(_("Use does not explain soot or coke (rule from memory)."))
    return Details(tuple(values), tuple(remarks))


@figure(
    name="low_fire_share",
    title="Share of run hours at low fire",
    meaning="How much of its life the burner spends at the step that keeps it too cool to stay clean",
    inputs={"low": LOW, "medium": MEDIUM, "high": HIGH},
    result=Output("1", "Share of all run hours at the lowest step, 0 to 1"),
    formula="s = h_low / (h_low + h_medium + h_high)",
    source="definition",
    status="library",
    accuracy="as good as the controller's counters; 1 h resolution matters only below about 20 h in all",
    example={"low": 1190, "medium": 170, "high": 60},
    details=_profile,
)
def low_fire_share(low: float, medium: float, high: float) -> float:
    """Share of run hours at the lowest step: s = h_low / Σh, 0 to 1 (definition; as exact as the counters)."""
    return low / _total(low, medium, high)


@figure(
    name="mean_run_length",
    title="Mean length of a run",
    meaning="How long the burner stays lit after a start; short runs leave residue and wear the glow element",
    inputs={"low": LOW, "medium": MEDIUM, "high": HIGH, "starts": STARTS},
    result=Output("h", "Run hours for each start"),
    formula="t = (h_low + h_medium + h_high) / n_starts",
    source="definition",
    status="library",
    accuracy="as good as the counters; failed starts that are counted make it look shorter",
    example={"low": 1190, "medium": 170, "high": 60, "starts": 610},
    details=_profile,
)
def mean_run_length(low: float, medium: float, high: float, starts: float) -> float:
    """Mean run in h: t = Σh / n (definition; counted failed starts make it look shorter)."""
    return _total(low, medium, high) / starts


@figure(
    name="starts_per_hour",
    title="Starts for each run hour",
    meaning="How often the unit goes through the dirty minutes of a start",
    inputs={"low": LOW, "medium": MEDIUM, "high": HIGH, "starts": STARTS},
    result=Output("1/h", "Starts for each run hour"),
    formula="r = n_starts / (h_low + h_medium + h_high)",
    source="definition; more than 1 is short runs, less than 0.5 is quiet use (rule from memory)",
    status="library",
    accuracy="as good as the counters",
    example={"low": 1190, "medium": 170, "high": 60, "starts": 610},
    details=_profile,
)
def starts_per_hour(low: float, medium: float, high: float, starts: float) -> float:
    """How many starts fall on a run hour, 1/h: n/Σh (definition; as good as the counters)."""
    return starts / _total(low, medium, high)


def _short_details(given: Mapping[str, float]) -> Details:
    wanted = given["weeks"] * given["weekly_h"]
    return Details(
        (
            Detail(_("Hours at full output that keep a burner clean"), wanted, "h"),
            Detail(_("Share of them that it ran"), given["high"] / wanted, "1"),
        ),
        (_("An hour a week at full output, with the space aired, is common practice without a source."),),
    )


@figure(
    name="full_output_short",
    title="Hours at full output that are missing",
    meaning="How far the unit is from the hour a week at full output that keeps a burner clean",
    inputs={
        "high": HIGH,
        "weeks": Input("1", "Weeks of use that the hours cover", (1.0, 2000.0)),
        "weekly_h": Input("h", "Hours a week at full output that are wanted", (0.1, 20.0)),
    },
    result=Output("h", "Hours missing; 0 where there are enough"),
    formula="m = max(0, w·t_week − h_high)",
    source="common practice, no source",
    status="practice",
    accuracy="a habit, not a limit: a clean burner proves itself",
    example={"high": 60, "weeks": 104},
    details=_short_details,
)
def full_output_short(high: float, weeks: float, weekly_h: float = 1.0) -> float:
    """Hours at full output that are missing: max(0, weeks·weekly_h − high), h (common practice, no source)."""
    return max(0.0, weeks * weekly_h - high)
