"""One record for every published formula: what it is of, where it holds, and where it is from.

Ranges are those of the data; NaN where the source gives none that we hold. Tags as in docstrings: V seen in
the source, M from memory, OWN our judgement.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NONE = math.nan


@dataclass(frozen=True)
class Record:
    """One formula. name : of its function, as optichill.correlations has it; argument : what the range is of;
    used_as : how an answer names its use, "" where answers do not check it."""

    name: str
    what: str
    argument: str
    valid_from: float
    valid_to: float
    source: str
    used_as: str = ""


INSIDE = Record(
    "Nu_laminar_helical_Schmidt", "film inside a helix, laminar, on the bore", "d_i/D_c", 0.012, 0.2,
    "Schmidt 1967; VDI Heat Atlas G3 (V)", "Schmidt 1967, inside film",
)  # fmt: skip
INSIDE_ANY = Record(
    "Nu_helical_Gnielinski", "film inside a helix at any Re, on the bore", "Re", 100.0, 150_000.0,
    "Gnielinski 1986; VDI Heat Atlas G3 (M)", "Gnielinski 1986, inside film",
)  # fmt: skip
STILL = Record(
    "Nu_horizontal_cylinder_Churchill_Chu", "film outside in still wort, on d_o", "Ra", 1e-5, 1e12,
    "Churchill & Chu 1975 (V)", "Churchill & Chu 1975, still wort",
)  # fmt: skip
MOVING = Record(
    "Nu_crossflow_Churchill_Bernstein", "film outside in moving wort, on d_o", "Re Pr", 0.2, 1e7,
    "Churchill & Bernstein 1977 (V)", "Churchill & Bernstein 1977, moving wort",
)  # fmt: skip
LAMINAR = Record(
    "f_laminar_helical_White", "Darcy friction in a helix, laminar", "De", 0.0, 2000.0,
    "White 1929 (V)", "White 1929, friction",
)  # fmt: skip
TURBULENT = Record(
    "f_turbulent_helical_Ito", "Darcy friction in a smooth helix, turbulent", "Re r^2", 0.034, 300.0,
    "Ito 1959, Trans. ASME J. Basic Eng. 81:123 (M)", "Ito 1959, friction",
)  # fmt: skip
WORT = Record(
    "wort.density", "density of wort", "temperature [degC]", 0.0, 105.0,
    "CRC Handbook, sucrose, 20 degC (V); ICUMSA SPS-4 over temperature (M)", "wort properties",
)  # fmt: skip

RECORDS = (
    INSIDE,
    Record(
        "Nu_turbulent_helical_Gnielinski", "film inside a helix, turbulent, on the bore", "Re",
        22_000.0, INSIDE_ANY.valid_to, "Gnielinski 1986; VDI Heat Atlas G3 (V)",
    ),
    INSIDE_ANY,
    Record(
        "Re_crit_helical_Schmidt", "Re at which flow in a helix turns turbulent", "d_i/D_c",
        INSIDE.valid_from, INSIDE.valid_to, "Schmidt 1967 (V)",
    ),
    Record(
        "wall_factor_VDI", "inside film's correction for the wall's temperature", "Pr/Pr_wall", NONE, NONE,
        "VDI Heat Atlas (M)",
    ),
    STILL,
    MOVING,
    Record("Nu_mixed_Churchill", "still and moving film together", "", NONE, NONE, "Churchill 1977 (M)"),
    Record(
        "spacing_factor", "what neighbouring turns leave of the outside film", "pitch/d_o", 1.0, math.inf,
        "OWN, anchored on Joye & Smith 2000 and Bejan, Fowler & Stanescu 1995",
    ),
    Record("yaw_factor_ESDU", "cross flow that meets the tube at an angle", "angle [rad]", NONE, NONE,
           "ESDU 73031 (V)"),
    LAMINAR,
    TURBULENT,
    Record("f_helical", "Darcy friction in a helix at any Re, the larger of both", "", NONE, NONE,
           "White 1929 (V), Ito 1959 (M)"),
    Record("f_straight_smooth", "Darcy friction in a straight smooth hose", "Re", NONE, NONE, "Blasius (V)"),
    Record("film_share", "what two layers of turns leave of the outside film", "", NONE, NONE, "OWN"),
    Record("surface_loss_open", "heat lost by an open surface", "", NONE, NONE, "OWN fit, +/-40 %"),
    Record("surface_loss_lid", "heat lost through a lid", "", NONE, NONE, "OWN, +/-40 %"),
    Record("wall_loss", "heat lost by the bare wall", "", NONE, NONE, "OWN fit, +/-40 %"),
    WORT,
    Record("wort.heat_capacity", "heat capacity of wort", WORT.argument, WORT.valid_from, WORT.valid_to,
           "mixing rule (M); Bubnik 1995 agrees to 1 %"),
    Record("wort.conductivity", "conductivity of wort", WORT.argument, WORT.valid_from, WORT.valid_to,
           "Riedel 1949 within 2 % (M)"),
    Record("wort.viscosity", "viscosity of wort", WORT.argument, WORT.valid_from, WORT.valid_to,
           "OWN fit to CRC Handbook, sucrose (V)"),
    Record("wort.expansion", "expansion of wort", WORT.argument, WORT.valid_from, WORT.valid_to,
           "water's, with a floor (OWN)"),
    Record("plato_from_SG", "extract from specific gravity 20/20", "SG", 1.0, 1.13,
           "fit to the ASBC table (V)"),
    Record("mains_temperature", "water mains by the date", "", NONE, NONE, "Burch & Christensen 2007 (V)"),
)  # fmt: skip
