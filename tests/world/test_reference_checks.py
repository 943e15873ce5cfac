"""Every row of data/checks.csv against optichill's own function for it.

The rows stand as their sources give them, with source and V/M tag (`verified`: seen in the source or in a
reference library's documentation; `memory`: not). Which rows of the sources were left out, and why, is in
data/README.md. A value is printed to about six digits: half a unit of its last digit comes on top of the
row's own tolerance.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from dataclasses import dataclass

import ht
import numpy as np
import pytest
import usual
from scipy.optimize import brentq
from where import DATA

from optichill.correlations import friction, inside_film, kettle_losses, outside_film
from optichill.properties import water, wort
from optichill.thermal import exchanger, hydraulics, sources, supply
from optichill.thermal.batch_time import batch_time_Kern

ZERO = 273.15
LITRE_PER_MINUTE = 1.0 / 60_000.0
G = 9.80665


@dataclass(frozen=True)
class Row:
    quantity: str
    inputs: str
    value: str
    unit: str
    tolerance: str
    source: str
    verified_or_memory: str

    def __getitem__(self, name: str) -> float:
        """The number written `name=number` in the inputs."""
        found = re.search(rf"(?<![\w/]){re.escape(name)}=([-+.\dEe]+)", self.inputs)
        assert found, f"{name} not in {self.inputs!r}"
        return float(found[1])

    def before(self, unit: str) -> float:
        """The number written in front of a unit: "8 P; 10 C" -> before("C") is 10."""
        found = re.search(rf"([-+.\deE]+) {re.escape(unit)}(?![\w])", self.inputs)
        assert found, f"no {unit} in {self.inputs!r}"
        return float(found[1])

    @property
    def T(self) -> float:
        return self.before("C") + ZERO

    def allowance(self, own: str | None) -> float:
        """How far off a result may be, in the row's unit."""
        text = own or self.tolerance
        number = float(re.match(r"[\d.eE+-]+", text)[0])  # type: ignore[index]
        if text.endswith("%"):
            number *= abs(float(self.value)) / 100.0
        elif text.endswith("rel"):
            number *= abs(float(self.value))
        mantissa = self.value.lower().split("e")[0]
        decimals = len(mantissa.partition(".")[2])
        return number + 0.5 * 10.0**-decimals


def read_rows() -> list[Row]:
    with (DATA / "checks.csv").open(newline="", encoding="utf-8") as stream:
        return [Row(**row) for row in csv.DictReader(stream)]


ROWS = read_rows()


# --- inside the helix -----------------------------------------------------------------------------------


def inside(function: Callable) -> Callable[[Row], float]:
    """Nu(Re, Pr, d_i, D_c) at the row's curvature di/Dc."""
    return lambda row: function(row["Re"], row["Pr"], row["di/Dc"], 1.0)


def turbulent_f(row: Row) -> float:
    ratio = re.search(r"(?:di/Dc|r)=([\d.]+)", row.inputs)
    r = float(ratio[1]) if ratio else row["di"] / row["Dc"]
    return friction.f_turbulent_helical_Ito(row["Re"], r, 1.0)


def coil_drop(d_i: float) -> Callable[[Row], float]:
    """Pressure drop of 15 m in kPa at the row's flow and water temperature."""
    return lambda row: (
        hydraulics.pressure_drop_tube(row.before("L/min") * LITRE_PER_MINUTE, row.T, d_i, row["Dc"], 15.0)
        / 1e3
    )


def coil_flow(d_i: float) -> Callable[[Row], float]:
    """Flow in L/min that takes the row's head in 15 m at 15 degC, D_c 0.25 m."""

    def flow(row: Row) -> float:
        head = row.before("kPa") * 1e3
        return brentq(
            lambda V: (
                float(hydraulics.pressure_drop_tube(V * LITRE_PER_MINUTE, 15.0 + ZERO, d_i, 0.25, 15.0))
                - head
            ),
            0.5,
            30.0,
        )

    return flow


# --- outside it -----------------------------------------------------------------------------------------

THREE_EIGHTHS = 9.525e-3
SOM_RA, SOM_PR, SOM_K, SOM_D = 941423.0, 4.16, 0.634, 0.008  # S.K. Som, Example 8.8


def som_h(Ra: float) -> float:
    return float(outside_film.Nu_horizontal_cylinder_Churchill_Chu(Ra, SOM_PR)) * SOM_K / SOM_D


def som_wall(row: Row) -> float:
    """Wall temperature [degC] at which 450 W leave a heater 0.3 m long; Ra grows with the difference."""
    flux = 450.0 / (np.pi * SOM_D * 0.3)
    return 20.0 + brentq(lambda dT: som_h(SOM_RA * dT / 44.0) * dT - flux, 1.0, 100.0)


def h_still_water(row: Row) -> float:
    """Churchill & Chu on 9.525 mm in water, film temperature and difference from the row [W/m2K]."""
    T, dT = row.T, row.before("K")
    rho, mu, k, cp = water.density(T), water.viscosity(T), water.conductivity(T), water.heat_capacity(T)
    Ra = G * water.expansion(T) * dT * THREE_EIGHTHS**3 * rho**2 * cp / (mu * k)
    return outside_film.Nu_horizontal_cylinder_Churchill_Chu(Ra, water.prandtl(T)) * k / THREE_EIGHTHS


def h_moving_water(row: Row) -> float:
    """Churchill & Bernstein on 9.525 mm in water of 50 degC [W/m2K]."""
    T = 50.0 + ZERO
    speed = row["v"]
    Re = water.density(T) * speed * THREE_EIGHTHS / water.viscosity(T)
    Nu = outside_film.Nu_crossflow_Churchill_Bernstein(Re, water.prandtl(T))
    return Nu * water.conductivity(T) / THREE_EIGHTHS


def coil_against_cylinder(row: Row) -> float:
    """Film of a whole coil (Prabhanjan, Rennie & Raghavan 2004, height as length) over that of one turn."""
    d, H, Ra, Pr = 15.7e-3, row["H"], row["Ra_d"], row["Pr"]
    coil = ht.Nu_vertical_helical_coil_Prabhanjan_Rennie_Raghavan(Pr=Pr, Gr=Ra / Pr * (H / d) ** 3) / H
    return coil / (outside_film.Nu_horizontal_cylinder_Churchill_Chu(Ra, Pr) / d)


def no_loss_pitch(row: Row) -> float:
    """Smallest turn spacing at which the still film loses nothing any more."""
    s = np.linspace(1.0, 3.0, 2001)
    return s[outside_film.spacing_factor(s, 0.50) > 1.0 - 1e-6][0]


# --- wort, wall, batch, kettle --------------------------------------------------------------------------


def of_wort(function: Callable, scale: float = 1.0) -> Callable[[Row], float]:
    """A wort property at "8 P; 10 C"."""
    return lambda row: function(row.T, row.before("P")) * scale


def of_sugar(function: Callable, scale: float = 1.0) -> Callable[[Row], float]:
    """The same at "12 %; 20 C" or "10 % ; 20 C"."""
    return lambda row: function(row.T, row.before("%")) * scale


GLASS = 25e-6  # 1/K, cubic expansion of hydrometers' glass, Jena 16-III (from memory)


def hydrometer_correction(row: Row) -> float:
    """What is added to a hydrometer's "15 % read; 60 C" [% w/w]: at rest it shoves its own mass aside."""
    read = row.before("%")
    shoved = float(wort.density(20.0 + ZERO, read)) / (1.0 + GLASS * (row.T - 20.0 - ZERO))
    return brentq(lambda P: float(wort.density(row.T, P)) - shoved, 0.0, 30.0) - read


def at_20(function: Callable, scale: float = 1.0) -> Callable[[Row], float]:
    """The same at 20 degC and "5 % w/w"."""
    return lambda row: function(20.0 + ZERO, row.before("% w/w")) * scale


def batch(row: Row, UA: float) -> float:
    return batch_time_Kern(row["M"] * row["c"], UA, row["wc"], row["T0"], row["Tf"], row["Tc"])


def evaporation(row: Row) -> float:
    """Open surface without its dry part, whose coefficient is 14 W/m2K."""
    T = row["T"] + ZERO
    return kettle_losses.surface_loss_open(T, T)


def kettle(lid: bool) -> Callable[[Row], float]:
    """Whole kettle, 0.36 m wide with 0.19 m of wort in it."""

    def loss(row: Row) -> float:
        T = row["T"] + ZERO
        return usual.batch(T_start=T, volume=np.pi / 4.0 * 0.36**2 * 0.19, lid=lid).loss(np.asarray(T))

    return loss


TEN_KILOGRAMS = sources.Bath(20.0, 10.0 + ZERO, 10.0)


def ice_for_wort(T_hot: float, T_melt: float) -> Callable[[Row], float]:
    """Ice [kg] that cools 19 L of 12 degP (read at 20 degC) to 20 degC, its melt leaving at T_melt."""
    x, w = np.polynomial.legendre.leggauss(12)
    half = 0.5 * (T_hot - 20.0)
    T = 20.0 + half * (1.0 + x) + ZERO
    mass = 0.019 * float(wort.density(20.0 + ZERO, 12.0))
    heat = mass * half * float((w * wort.heat_capacity(T, 12.0)).sum())
    return lambda r: float(sources.Bath(0.0, ZERO, 99.0).melted(heat, T_melt + ZERO))


@dataclass(frozen=True)
class Check:
    """How a quantity is reproduced; `tolerance` where the row's own does not apply, with the reason."""

    compute: Callable[[Row], float]
    tolerance: str | None = None
    because: str = ""


OTHER_NU = ("13 %", "another published form of the same film: they spread by 13 %")
OTHER_F = ("7 %", "another published form of the same friction factor")

CHECKS: dict[str, Check] = {
    "Re_crit helical Schmidt 1967 (doctest)": Check(
        lambda r: inside_film.Re_crit_helical_Schmidt(r["di"], r["Dc"])
    ),
    "Nu laminar VDI Gc/G3 (Schmidt form, no wall corr)": Check(
        inside(inside_film.Nu_laminar_helical_Schmidt)
    ),
    "Nu turbulent VDI Gc/G3 (Gnielinski, no wall corr)": Check(
        inside(inside_film.Nu_turbulent_helical_Gnielinski)
    ),
    "Nu transition Gnielinski 1986 linear in Re between Re_crit and 22000": Check(
        inside(inside_film.Nu_helical_Gnielinski)
    ),
    "Nu turbulent helical Mori-Nakayama 1967": Check(
        lambda r: inside_film.Nu_helical_Gnielinski(r["Re"], r["Pr"], r["di"], r["Dc"]), *OTHER_NU
    ),
    "Nu turbulent helical Rogers-Mayhew 1964 (bulk, 0.023)": Check(
        inside(inside_film.Nu_helical_Gnielinski), *OTHER_NU
    ),
    "f_Darcy laminar helical White 1929": Check(
        lambda r: friction.f_laminar_helical_White(r["Re"], r["di"], r["Dc"])
    ),
    "f_Darcy laminar helical White 1929 (doctest)": Check(
        lambda r: friction.f_laminar_helical_White(r["Re"], r["Di"], r["Dc"])
    ),
    "f_Darcy turbulent helical Ito 1959": Check(turbulent_f),
    "f_Darcy turbulent helical VDI": Check(turbulent_f, "4 %", "another form; Ito agrees with it within 4 %"),
    "f_Darcy turbulent helical Mori-Nakayama 1967": Check(turbulent_f, *OTHER_F),
    "f_Darcy turbulent helical Mishra-Gupta 1979": Check(turbulent_f, *OTHER_F),
    "f_Darcy turbulent helical Srinivasan (handbook form 0.336 sqrt(r)(Re r^2)^-0.2)": Check(
        turbulent_f, *OTHER_F
    ),
    "f_Darcy turbulent helical Prasad 1989 (smooth)": Check(
        turbulent_f, "15 %", "the highest of the published forms that are not in doubt"
    ),
    "coil pressure drop 15 m of 9.525x0.81 tube (Ito f)": Check(coil_drop(9.525e-3 - 2 * 0.81e-3)),
    "coil pressure drop 15 m of 12.7x0.8 tube": Check(coil_drop(12.7e-3 - 2 * 0.8e-3)),
    "flow through 15 m of 9.525x0.81 tube for given head (Ito)": Check(coil_flow(9.525e-3 - 2 * 0.81e-3)),
    "flow through 15 m of 12.7x0.8 tube for given head (Ito)": Check(coil_flow(12.7e-3 - 2 * 0.8e-3)),
    "Nu Churchill-Chu 1975 horizontal cylinder (textbook ex 9.2)": Check(
        lambda r: outside_film.Nu_horizontal_cylinder_Churchill_Chu(r["Pr"] * r["Gr"], r["Pr"])
    ),
    "Nu Churchill-Chu 1975": Check(
        lambda r: outside_film.Nu_horizontal_cylinder_Churchill_Chu(r["Ra"], r["Pr"])
    ),
    "Worked ex: Nu (correct Churchill-Chu)": Check(
        lambda r: outside_film.Nu_horizontal_cylinder_Churchill_Chu(SOM_RA, r["Pr"])
    ),
    "Worked ex: h": Check(lambda r: som_h(SOM_RA)),
    "Worked ex: implied Tw for 450 W, L=0.3 m (book guess 64 C confirmed)": Check(som_wall),
    "consistency: h from Prabhanjan H-form vs Churchill-Chu": Check(coil_against_cylinder),
    "h Churchill-Chu water on 9.525 mm tube": Check(h_still_water),
    "h Churchill-Bernstein 1977 water 50 C film, 9.525 mm": Check(h_moving_water),
    "h Zukauskas 1972 water 50 C, no wall corr, 9.525 mm": Check(
        h_moving_water, "15 %", "another published form; both claim 15 to 20 %"
    ),
    "Nu Churchill-Bernstein (textbook ex 7.3)": Check(
        lambda r: outside_film.Nu_crossflow_Churchill_Bernstein(r["Re"], r["Pr"])
    ),
    "yaw factor ESDU 73031 sin^0.6": Check(lambda r: outside_film.yaw_factor_ESDU(np.radians(r["angle"]))),
    "mixed convection cube rule": Check(lambda r: outside_film.Nu_mixed_Churchill(r["Nu_N"], r["Nu_F"])),
    "Array penalty, gap d/8 all round (3 cylinders above a floor)": Check(
        lambda r: 100.0 * (outside_film.spacing_factor(1.125, 0.50) - 1.0),
        "5",
        "percentage points; an anchor",
    ),
    "Pitch below which cooling rate drops (centre spacing / d)": Check(
        no_loss_pitch, "0.05", "the source says about two"
    ),
    "density sucrose soln 20 C": Check(at_20(wort.density)),
    "viscosity sucrose soln 20 C": Check(at_20(wort.viscosity, 1e3)),
    "viscosity sucrose soln 20 % w/w": Check(lambda r: wort.viscosity(r.T, 20.0) * 1e3),
    "wort model density": Check(of_wort(wort.density)),
    "Brix hydrometer correction to 20 C": Check(hydrometer_correction),
    "wort model viscosity (recommended fit)": Check(of_wort(wort.viscosity, 1e3)),
    "wort model cp": Check(of_wort(wort.heat_capacity)),
    "wort model k": Check(of_wort(wort.conductivity)),
    "viscosity Genotelle/ICUMSA SPS-4 formula": Check(
        of_sugar(wort.viscosity, 1e3), "8 %", "another form, itself 7 % above the CRC table at 80 degC"
    ),
    "cp Bubnik et al. 1995 sucrose (purity 100)": Check(
        of_sugar(wort.heat_capacity), "1.1 %", "another form; they agree to about 1 %"
    ),
    "k Riedel 1949 sugar solution": Check(
        of_sugar(wort.conductivity), "2 %", "another form; they agree to 2 %"
    ),
    "Plato from SG20/20 (ASBC cubic)": Check(lambda r: wort.plato_from_SG(r["SG"])),
    "wall resistance on OD area 9.525x0.813 tube": Check(
        lambda r: exchanger.wall_resistance(9.525e-3, 9.525e-3 - 2 * 0.813e-3, r["k"])
    ),
    "batch cooling time Kern coil-in-tank nonisothermal": Check(lambda r: batch(r, r["UA"])),
    "batch cooling limit eps=1": Check(lambda r: batch(r, 1e9)),
    "latent heat of fusion of ice 0 C": Check(lambda r: sources.ICE_MELTING_HEAT / 1e3),
    "ice to cool 19 L 12P wort 60->20 C, melt water leaves at 5 C": Check(ice_for_wort(60.0, 5.0)),
    "ice to cool 19 L 12P wort 98->20 C, melt at 0 C only": Check(ice_for_wort(98.0, 0.0)),
    "final bath temp: 10 kg ice + 20 kg water 10 C + 2000 kJ": Check(
        lambda r: TEN_KILOGRAMS.mixed(2e6) - ZERO, "1e-9", "exact is meant"
    ),
    "ice melted in that case": Check(
        lambda r: TEN_KILOGRAMS.melted(2e6, ZERO),
        "0.2 %",
        "worked out with 4.19 kJ/kgK; near 0 degC water holds more",
    ),
    "epsilon isothermal-outside": Check(lambda r: exchanger.effectiveness_isothermal_outside(r["NTU"])),
    "evaporative heat flux open surface D=0.36 m, air 20 C 50% RH (analogy)": Check(evaporation),
    "evaporative heat flux ASHRAE/Carrier still air": Check(evaporation),
    "kettle total loss lid on": Check(kettle(lid=True)),
    "kettle total loss open D=0.36 m H=0.19 m": Check(kettle(lid=False)),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.quantity}|{row.inputs}")
def test_row(row: Row) -> None:
    check = CHECKS[row.quantity]
    ours = float(check.compute(row))
    assert ours == pytest.approx(float(row.value), rel=0.0, abs=row.allowance(check.tolerance)), (
        f"{ours} {row.unit}; {row.source} [{row.verified_or_memory}] {check.because}"
    )


def test_every_quantity_has_its_check_and_every_check_its_rows() -> None:
    assert {row.quantity for row in ROWS} == set(CHECKS)


def test_every_row_names_source_and_tag() -> None:
    for row in ROWS:
        assert row.source, row
        assert "verified" in row.verified_or_memory or "memory" in row.verified_or_memory, row


def test_a_tolerance_of_our_own_says_why() -> None:
    assert all(check.because for check in CHECKS.values() if check.tolerance)


# --- loss coefficients: data/minor_losses.csv, tables citing Crane TP-410 ------------------------------


def minor_losses() -> dict[str, str]:
    with (DATA / "minor_losses.csv").open(newline="", encoding="utf-8") as stream:
        return {row["item"]: row["K"] for row in csv.DictReader(stream)}


K_TABLE = minor_losses()
BORE = 8e-3


def joints(beta: float) -> float:
    """K of hose to tube and tube to hose alone, on the tube's velocity; the tube is the narrower one."""
    return float(hydraulics.K_fittings(BORE, BORE / beta)) - float(hydraulics.K_fittings(BORE, BORE))


def within(text: str, value: float) -> bool:
    low, high = (float(x) for x in text.split("-"))
    return low <= value <= high


def barb_pair(beta: float) -> Callable[[str], bool]:
    return lambda text: abs(joints(beta) - float(text.rpartition("=")[2])) < 6e-4


K_CHECKS: dict[str, Callable[[str], bool]] = {
    "exit to tank or open air": lambda text: supply.K_EXIT == float(text),
    "sudden contraction": lambda text: "0.5*(1-beta^2)" in text and abs(joints(1e-4) - 1.5) < 1e-6,
    "sudden expansion": lambda text: text == "(1-beta^2)^2" and abs(joints(0.5) - (0.375 + 0.5625)) < 1e-9,
    "90 smooth bend r/d 4-6": lambda text: within(text, hydraulics.K_RISER_BEND),
    "compression or flare union, same bore": lambda text: within(text, hydraulics.K_UNION),
    "globe valve / compression-disc hose tap": lambda text: within(text, supply.K_HOSE_TAP),
    "hose barb pair in+out, beta=0.70": barb_pair(0.70),
    "hose barb pair in+out, beta=0.80": barb_pair(0.80),
    "hose barb pair in+out, beta=0.90": barb_pair(0.90),
}


@pytest.mark.parametrize("item", K_TABLE)
def test_loss_coefficient(item: str) -> None:
    assert K_CHECKS[item](K_TABLE[item])


def test_every_loss_coefficient_has_its_check() -> None:
    assert set(K_TABLE) == set(K_CHECKS)
    bends_and_unions = 4 * hydraulics.K_RISER_BEND + 2 * hydraulics.K_UNION
    assert float(hydraulics.K_fittings(BORE, BORE)) == pytest.approx(bends_and_unions, rel=1e-12)
