"""A brewhouse whose stock lists give about as many candidates as wanted; sizes and prices invented."""

from __future__ import annotations

from pathlib import Path

PER_FORM = 850
"""Candidates that one form adds with the six tubes below, about."""

_HOUSE = """name = "Bench"
[kettle]
inside_diameter = "33 cm"
inside_height = "33 cm"
[wort]
volume = "24 L"
mixing = "now and then"
[tap]
temperature = "12 degC"
open_flow = "10 L in 60 s"
[workshop]
layouts = {layouts}
flow_settings = {flows}
[limits]
{limits}
"""


def brewhouse_folder(folder: Path, *, rows: int, limits: str = "", everything: bool = False) -> None:
    """Write brewhouse.toml, tubing.csv and forms.csv; forms of ever other diameters make the rows.

    rows : of one layer at full flow. everything : two layers and part-closed valves join.
    """
    layouts = '["single", "nested", "parallel"]' if everything else '["single"]'
    flows = '["full", "half", "third"]' if everything else '["full"]'
    (folder / "brewhouse.toml").write_text(_HOUSE.format(limits=limits, layouts=layouts, flows=flows))
    tubes = ["stock_id,description,material,temper,outer_diameter,wall,length,price,owned,checked,source"]
    for n, (d_o, wall, length, price) in enumerate(
        [(8, 0.8, 15, 38), (9.52, 0.81, 7.62, 28), (9.52, 0.81, 15.24, 47), (10, 1, 10, 41), (12, 1, 15, 62),
         (12.7, 0.81, 15.24, 66)]
    ):  # fmt: skip
        tubes.append(f"t{n},soft,copper,annealed,{d_o} mm,{wall} mm,{length} m,{price},no,,invented")
    (folder / "tubing.csv").write_text("\n".join(tubes) + "\n")
    number = max(1, rows // PER_FORM // 3)
    forms = ["form_id,description,outer_diameter,height,open_end,owned,price"]
    for n in range(number):
        forms.append(f"f{n:05d},pipe,{160.0 + 100.0 * n / number:.3f} mm,40 cm,yes,yes,")
    (folder / "forms.csv").write_text("\n".join(forms) + "\n")


def large_stock(folder: Path, *, tubes: int, forms: int) -> None:
    """Write a brewhouse with a merchant's whole catalogue: sizes of the trade in rolls of many lengths, and
    forms from a can to what the kettle just takes. Every size mix and every price is INVENTED.

    All layouts and valve settings are looked at, as a new brewhouse file has it.
    """
    (folder / "brewhouse.toml").write_text(
        _HOUSE.format(
            limits='chill_time = "40 min"\nbudget = 150\ndifficulty = "careful beginner"',
            layouts='["single", "nested", "parallel"]',
            flows='["full", "half", "third"]',
        )
    )
    sizes = [(8, 1), (9.52, 0.81), (10, 1), (12, 1), (12.7, 0.81), (15, 1), (15.88, 0.89)]
    rows = ["stock_id,description,material,temper,outer_diameter,wall,length,price,owned,checked,source"]
    for n in range(tubes):
        d_o, wall = sizes[n % len(sizes)]
        length = 6.0 + 24.0 * (n * 37 % tubes) / tubes
        price = 6.0 + 0.32 * d_o * length * (0.9 + 0.2 * (n * 53 % 101) / 101)
        rows.append(
            f"t{n:05d},soft,copper,annealed,{d_o} mm,{wall} mm,{length:.2f} m,{price:.2f},no,,invented"
        )
    (folder / "tubing.csv").write_text("\n".join(rows) + "\n")
    rows = ["form_id,description,outer_diameter,height,open_end,owned,price"]
    for n in range(forms):
        height, price = 18 + n * 29 % 37, 4 + n * 17 % 21
        owned = "yes" if n % 4 == 0 else "no"
        rows.append(f"f{n:05d},pipe,{120.0 + 220.0 * n / forms:.3f} mm,{height} cm,yes,{owned},{price}")
    (folder / "forms.csv").write_text("\n".join(rows) + "\n")
