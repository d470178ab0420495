"""What a tube takes of the pressure: combustion air, exhaust, warm air."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from trees.figures.air import GAS_CONSTANT_AIR, SEA_LEVEL_PRESSURE_PA, ZERO_CELSIUS_K, air_pressure
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

MOLAR_GAS_CONSTANT = 8.314462618
LAMINAR_BELOW, TURBULENT_ABOVE = 2300.0, 4000.0
"""Reynolds numbers between which no formula holds; the friction factor is blended over them."""
ENTRY_K, EXIT_K, MITRE_K = 0.5, 1.0, 1.2
"""Sharp entry, free exit, mitred 90° elbow (handbook values; the mitre from memory)."""
ENDS_K = ENTRY_K + EXIT_K
FLEX_ROUGHNESS_MM = 0.9
"""Flexible duct, fully extended: upper end of 0.09 to 0.9 mm (ASHRAE duct roughness table)."""

DARCY = "Darcy-Weisbach; Colebrook-White (Clamond 2009); bends by Rennels; roughness from the ASHRAE duct table"
HONESTY = (
    "±15 % at best: small tubes run between laminar and turbulent flow; "
    "a flexible tube that is not stretched has twice the loss"
)


def air_viscosity_pa_s(temperature_c: float) -> float:
    """Viscosity of air in Pa·s: 1.458e-6·T^1.5/(T + 110.4), T K (Sutherland); 1 % up to 100 °C, 3 % at 450 °C."""
    kelvin = temperature_c + ZERO_CELSIUS_K
    return float(1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


def gas_density(temperature_c: float, molar_mass_g: float = 28.99, pressure_pa: float = SEA_LEVEL_PRESSURE_PA) -> float:
    """Density of a gas in kg/m³: p·M/(R_m·T); M 28.99 g/mol stands for wet flue gas and, within 0.1 %, for air."""
    return pressure_pa * molar_mass_g * 1e-3 / (MOLAR_GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K))


def haaland(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor by Haaland 1983: 1/√f = −1.8·lg((ε/3.7D)^1.11 + 6.9/Re), Re above 4000, within 2 %."""
    return float((-1.8 * math.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2)


def colebrook(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor: 1/√f = −2·lg(ε/3.7D + 2.51/(Re·√f)), Re above 4000 (Colebrook-White, solved to 1e-12)."""
    inverse_root = haaland(reynolds, relative_roughness) ** -0.5
    for _try in range(50):
        better = -2.0 * math.log10(relative_roughness / 3.7 + 2.51 * inverse_root / reynolds)
        if abs(better - inverse_root) < 1e-12:
            break
        inverse_root = better
    return float(inverse_root**-2)


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor: 64/Re below 2300, Colebrook above 4000, a straight line between the two."""
    if reynolds <= LAMINAR_BELOW:
        return 64.0 / reynolds
    if reynolds >= TURBULENT_ABOVE:
        return colebrook(reynolds, relative_roughness)
    share = (reynolds - LAMINAR_BELOW) / (TURBULENT_ABOVE - LAMINAR_BELOW)
    return (1.0 - share) * 64.0 / LAMINAR_BELOW + share * colebrook(TURBULENT_ABOVE, relative_roughness)


def bend_k(angle_deg: float, radius_ratio: float, friction: float = 0.018) -> float:
    """Loss coefficient of a smooth round bend by Rennels; angle °, r/D of the centre line 1 to 6, f of a smooth tube.

    K = f·α·r/D + (0.10 + 2.4·f)·sin(α/2) + 6.6·f·(√sin(α/2) + sin(α/2))/(r/D)^(4·α/π).
    """
    angle = math.radians(angle_deg)
    sine = math.sin(angle / 2.0)
    straight = friction * angle * radius_ratio
    turning = (0.10 + 2.4 * friction) * sine
    return float(
        straight + turning + 6.6 * friction * (math.sqrt(sine) + sine) / radius_ratio ** (4.0 * angle / math.pi)
    )


@dataclass(frozen=True, slots=True)
class DuctFlow:
    """Flow and pressure loss of one tube, in SI units."""

    velocity_m_s: float
    reynolds: float
    friction: float
    friction_pa: float
    minor_pa: float

    @property
    def total_pa(self) -> float:
        """Pressure loss of the straight length and of all fittings."""
        return self.friction_pa + self.minor_pa


def duct_flow(
    *,
    mass_flow_kg_s: float,
    bore_m: float,
    length_m: float,
    roughness_m: float,
    sum_k: float,
    temperature_c: float,
    molar_mass_g: float = 28.9649,
    pressure_pa: float = SEA_LEVEL_PRESSURE_PA,
) -> DuctFlow:
    """Pressure loss of a tube: Δp = (f·L/D + ΣK)·ρ·v²/2, v = ṁ/(ρ·π/4·D²), Re = ρ·v·D/μ; SI units, ±15 %."""
    density = gas_density(temperature_c, molar_mass_g, pressure_pa)
    velocity = mass_flow_kg_s / (density * math.pi / 4.0 * bore_m**2)
    reynolds = density * velocity * bore_m / air_viscosity_pa_s(temperature_c)
    factor = friction_factor(reynolds, roughness_m / bore_m)
    dynamic_pa = density * velocity**2 / 2.0
    return DuctFlow(velocity, reynolds, factor, factor * length_m / bore_m * dynamic_pa, sum_k * dynamic_pa)


_FLOW_G_S = Input(
    "g/s", "Mass flow through the tube; see combustion air and exhaust flow", (0.05, 150.0), label="mass flow"
)
_BORE = Input("mm", "Inner diameter of the tube", (18.0, 150.0))
_LENGTH = Input("m", "Length of the tube along its middle", (0.0, 20.0))
_BENDS = Input("1", "Bends of 90°, counted; two of 45° count as one", (0.0, 20.0))
_TEMPERATURE = Input("°C", "Mean temperature of the gas in the tube", (-40.0, 450.0))
_ENDS = Input(
    "1", "Loss of the ends and extras: entry 0.5, exit 1.0, mitred elbow 1.2, silencer as its maker says", (0.0, 20.0)
)
_EXTRA = Input("1", "Loss of fittings beside bends and ends: silencer, mitred elbow 1.2", (0.0, 20.0))
_RADIUS = Input("1", "Radius of the bends over the bore; 1.5 for a tube bent by hand", (1.0, 6.0))
_ROUGHNESS = Input("mm", "Roughness: 0.9 flexible and stretched, 0.05 smooth steel, 0.02 plastic", (0.0, 3.0))
_ALTITUDE = Input("m", "Height above sea level", (-500.0, 5000.0))


def _tube(
    *,
    mass_flow_g_s: float,
    bore_mm: float,
    length_m: float,
    bends_90: float,
    temperature_c: float,
    ends_k: float = ENDS_K,
    radius_ratio: float = 1.5,
    roughness_mm: float = FLEX_ROUGHNESS_MM,
    altitude_m: float = 0.0,
) -> DuctFlow:
    return duct_flow(
        mass_flow_kg_s=mass_flow_g_s / 1000.0,
        bore_m=bore_mm / 1000.0,
        length_m=length_m,
        roughness_m=roughness_mm / 1000.0,
        sum_k=ends_k + bends_90 * bend_k(90.0, radius_ratio),
        temperature_c=temperature_c,
        pressure_pa=100.0 * air_pressure(altitude_m),
    )


def _flow_remarks(flow: DuctFlow) -> tuple[str, ...]:
    remarks = [_("Good to ±15 % at best (Reynolds number {n:.0f}).").format(n=flow.reynolds)]
    if LAMINAR_BELOW < flow.reynolds < TURBULENT_ABOVE:
        remarks.append(_("The flow is between laminar and turbulent: twice or half the friction is possible here."))
    if flow.velocity_m_s > 20.0:
        remarks.append(_("The gas is faster than 20 m/s: outside what these formulas were checked for."))
    return tuple(remarks)


def _loss_details(given: Mapping[str, float]) -> Details:
    flow = _tube(**given)
    return Details(
        (
            Detail(_("Velocity"), flow.velocity_m_s, "m/s"),
            Detail(_("Loss of the straight length"), flow.friction_pa, "Pa"),
            Detail(_("Loss of bends and ends"), flow.minor_pa, "Pa"),
        ),
        _flow_remarks(flow),
    )


@figure(
    name="duct_pressure_loss",
    title="Pressure loss of a tube",
    meaning="What length, bends and ends of an air, exhaust or warm-air tube take of the blower's pressure",
    inputs={
        "mass_flow_g_s": _FLOW_G_S, "bore_mm": _BORE, "length_m": _LENGTH, "bends_90": _BENDS,
        "temperature_c": _TEMPERATURE, "ends_k": _ENDS, "radius_ratio": _RADIUS, "roughness_mm": _ROUGHNESS,
        "altitude_m": _ALTITUDE,
    },
    result=Output("Pa", "Pressure loss"),
    formula="Δp = (f·L/D + ΣK)·ρ·v²/2",
    source=DARCY,
    accuracy=HONESTY,
    example={"mass_flow_g_s": 2.55, "bore_mm": 25, "length_m": 2, "bends_90": 2, "temperature_c": 20},
    curve="length_m",
    details=_loss_details,
)  # fmt: skip
def duct_pressure_loss(
    *,
    mass_flow_g_s: float,
    bore_mm: float,
    length_m: float,
    bends_90: float,
    temperature_c: float,
    ends_k: float = ENDS_K,
    radius_ratio: float = 1.5,
    roughness_mm: float = FLEX_ROUGHNESS_MM,
    altitude_m: float = 0.0,
) -> float:
    """Pressure loss of a round tube in Pa: (f·L/D + ΣK)·ρ·v²/2; g/s, mm, m, °C; D 18 to 150 mm, ±15 % at best."""
    return _tube(
        mass_flow_g_s=mass_flow_g_s,
        bore_mm=bore_mm,
        length_m=length_m,
        bends_90=bends_90,
        temperature_c=temperature_c,
        ends_k=ends_k,
        radius_ratio=radius_ratio,
        roughness_mm=roughness_mm,
        altitude_m=altitude_m,
    ).total_pa


@figure(
    name="duct_equivalent_length",
    title="Equivalent length of a tube",
    meaning="The straight tube that would lose as much as this one with its bends",
    inputs={
        "mass_flow_g_s": _FLOW_G_S, "bore_mm": _BORE, "length_m": _LENGTH, "bends_90": _BENDS,
        "temperature_c": _TEMPERATURE, "extra_k": _EXTRA,
        "radius_ratio": _RADIUS, "roughness_mm": _ROUGHNESS,
    },
    result=Output("m", "Straight length with the same loss; the ends are not counted"),
    formula="L_eq = L + ΣK·D/f",
    source=DARCY,
    accuracy=HONESTY,
    example={"mass_flow_g_s": 2.55, "bore_mm": 25, "length_m": 2, "bends_90": 2, "temperature_c": 20},
)  # fmt: skip
def duct_equivalent_length(
    *,
    mass_flow_g_s: float,
    bore_mm: float,
    length_m: float,
    bends_90: float,
    temperature_c: float,
    extra_k: float = 0.0,
    radius_ratio: float = 1.5,
    roughness_mm: float = FLEX_ROUGHNESS_MM,
) -> float:
    """Equivalent straight length in m: L + ΣK·D/f with the friction factor of this flow; g/s, mm, m, °C; ±15 %."""
    flow = _tube(
        mass_flow_g_s=mass_flow_g_s,
        bore_mm=bore_mm,
        length_m=length_m,
        bends_90=bends_90,
        temperature_c=temperature_c,
        roughness_mm=roughness_mm,
    )
    return length_m + fitting_length(extra_k + bends_90 * bend_k(90.0, radius_ratio), flow.friction, bore_mm)


@figure(
    name="fitting_length",
    title="Length that a fitting stands for",
    meaning="The straight tube that loses as much as one fitting",
    inputs={
        "k": Input("1", "Loss coefficient of the fitting", (0.0, 50.0)),
        "friction": Input("1", "Darcy friction factor of the tube, 0.03 to 0.07 in small flexible ones", (0.005, 0.2)),
        "bore_mm": _BORE,
    },
    result=Output("m", "Straight length with the same loss"),
    formula="L_eq = K·D/f",
    source="definition (Darcy-Weisbach)",
    status="library",
    accuracy="as good as K and f: ±20 %",
    example={"k": 0.3, "friction": 0.05, "bore_mm": 25},
)
def fitting_length(k: float, friction: float, bore_mm: float) -> float:
    """Equivalent length of a fitting in m: K·D/f, D mm (definition)."""
    return k * bore_mm / 1000.0 / friction


def _share_details(given: Mapping[str, float]) -> Details:
    tube = {name: value for name, value in given.items() if not name.startswith("rated")}
    extra_k = tube.pop("extra_k")
    flow = _tube(**tube, ends_k=ENDS_K + extra_k)
    return Details(
        (
            Detail(_("Pressure loss"), flow.total_pa, "Pa"),
            Detail(_("Equivalent length"), duct_equivalent_length(**tube, extra_k=extra_k), "m"),
        ),
        (_share_sentence(duct_share_of_limit(**given)), *_flow_remarks(flow)),
    )


def _share_sentence(share: float) -> str:
    if share > 1.15:
        return _("The tube loses more than the longest one that the unit allows: shorten it or take out bends.")
    if share < 0.85:
        return _("The tube is within what the unit allows.")
    return _(
        "Too close to call with ±15 %: count lengths and bends against the unit's manual, "
        "and measure CO2 at full output."
    )


@figure(
    name="duct_share_of_limit",
    title="Tube against the longest allowed",
    meaning="Pressure loss of this tube over that of the longest tube which the unit's manual allows",
    inputs={
        "mass_flow_g_s": _FLOW_G_S, "bore_mm": _BORE, "length_m": _LENGTH, "bends_90": _BENDS,
        "temperature_c": _TEMPERATURE,
        "rated_length_m": Input("m", "Longest tube that the unit's manual allows", (0.2, 20.0)),
        "rated_bends_90": Input("1", "Bends that are allowed with it", (0.0, 20.0)),
        "extra_k": _EXTRA,
        "roughness_mm": _ROUGHNESS,
    },
    result=Output("1", "Loss over allowed loss; above 1 is too long"),
    formula="s = Δp(L, bends)/Δp(L_rated, bends_rated), both ends open",
    source=DARCY,
    accuracy="±10 %: errors of friction partly cancel; between 0.85 and 1.15 too close to call",
    example={
        "mass_flow_g_s": 2.67, "bore_mm": 24, "length_m": 2.9, "bends_90": 4, "temperature_c": 250,
        "rated_length_m": 2, "rated_bends_90": 2,
    },
    curve="length_m",
    details=_share_details,
)  # fmt: skip
def duct_share_of_limit(
    *,
    mass_flow_g_s: float,
    bore_mm: float,
    length_m: float,
    bends_90: float,
    temperature_c: float,
    rated_length_m: float,
    rated_bends_90: float = 0.0,
    extra_k: float = 0.0,
    roughness_mm: float = FLEX_ROUGHNESS_MM,
) -> float:
    """Pressure loss over that of the longest allowed tube, same bore and flow; g/s, mm, m, °C; ±10 %."""
    common = {
        "mass_flow_g_s": mass_flow_g_s,
        "bore_mm": bore_mm,
        "temperature_c": temperature_c,
        "roughness_mm": roughness_mm,
    }
    here = _tube(**common, length_m=length_m, bends_90=bends_90, ends_k=ENDS_K + extra_k)
    allowed = _tube(**common, length_m=rated_length_m, bends_90=rated_bends_90)
    return here.total_pa / allowed.total_pa


@figure(
    name="minor_loss",
    title="Pressure loss of one fitting",
    meaning="What a bend, an end or a silencer takes",
    inputs={
        "k": Input("1", "Loss coefficient of the fitting", (0.0, 50.0)),
        "velocity_m_s": Input("m/s", "Mean velocity in the tube", (0.1, 40.0), label="velocity"),
        "temperature_c": _TEMPERATURE,
    },
    result=Output("Pa", "Pressure loss"),
    formula="Δp = K·ρ·v²/2",
    source="worked example after Legg 2017 (retrieved)",
    accuracy="as good as K: ±20 %",
    example={"k": 0.25, "velocity_m_s": 9.6, "temperature_c": 300},
)
def minor_loss(k: float, velocity_m_s: float, temperature_c: float) -> float:
    """Pressure loss of a fitting in Pa: K·ρ·v²/2, air at t °C and sea level, v m/s (checked with Legg 2017)."""
    density = SEA_LEVEL_PRESSURE_PA / (GAS_CONSTANT_AIR * (temperature_c + ZERO_CELSIUS_K))
    return k * density * velocity_m_s**2 / 2.0
