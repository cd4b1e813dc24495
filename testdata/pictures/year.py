"""Draws one year of one or more banks as SVG: the state of charge by day, lowest
to highest, and the dark hours, day by hour of the day.

    python3 year.py four=four.csv two=two.csv > year.svg

Each CSV is what `bankyear simulate FILE --out year.csv` writes. Standard library
only.
"""
import csv
import sys

WIDTH, LEFT, DAY, TOP = 920, 90, 2.2, 34
SOC_HEIGHT, DARK_HEIGHT, GAP = 90, 60, 56
MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
STARTS = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334]


def read(path):
    with open(path, newline="") as f:
        return [(float(r["soc_fraction"]), float(r["downtime_fraction"])) for r in csv.DictReader(f)]


def panel(out, name, rows, y):
    days = [rows[i:i + 24] for i in range(0, len(rows), 24)]
    dark = sum(d for _, d in rows)
    out.append(f'<text x="{LEFT}" y="{y - 8}" class="h">{name}: {dark:.0f} h dark in the year</text>')
    out.append(f'<rect x="{LEFT}" y="{y}" width="{len(days) * DAY:.1f}" height="{SOC_HEIGHT}" class="bg"/>')
    for part, label in ((1, "100 %"), (0.5, "50 %"), (0, "0 %")):
        out.append(f'<text x="{LEFT - 6}" y="{y + SOC_HEIGHT * (1 - part) + 4:.0f}" class="l">{label}</text>')
    for d, day in enumerate(days):
        low, high = min(s for s, _ in day), max(s for s, _ in day)
        out.append(f'<rect x="{LEFT + d * DAY:.1f}" y="{y + SOC_HEIGHT * (1 - high):.1f}" width="{DAY:.1f}" '
                   f'height="{max(0.7, SOC_HEIGHT * (high - low)):.1f}" class="soc"/>')
    y += SOC_HEIGHT + 16
    out.append(f'<rect x="{LEFT}" y="{y}" width="{len(days) * DAY:.1f}" height="{DARK_HEIGHT}" class="bg"/>')
    for hour in (0, 12, 24):
        out.append(f'<text x="{LEFT - 6}" y="{y + DARK_HEIGHT * hour / 24 + 4:.0f}" class="l">{hour:02d}:00</text>')
    for d, day in enumerate(days):
        for h, (_, part) in enumerate(day):
            if part > 0:
                out.append(f'<rect x="{LEFT + d * DAY:.1f}" y="{y + DARK_HEIGHT * h / 24:.1f}" width="{DAY:.1f}" '
                           f'height="{DARK_HEIGHT / 24:.1f}" class="dark" fill-opacity="{0.4 + 0.6 * part:.2f}"/>')
    y += DARK_HEIGHT
    for name, start in zip(MONTHS, STARTS):
        out.append(f'<text x="{LEFT + start * DAY:.1f}" y="{y + 14}" class="m">{name}</text>')
    return y + GAP


def main(args):
    out, y = [], TOP
    for arg in args:
        name, path = arg.split("=", 1)
        y = panel(out, name, read(path), y)
    style = ("text{font:13px sans-serif;fill:#222}.h{font-weight:600}.l{text-anchor:end;font-size:11px;fill:#555}"
             ".m{font-size:11px;fill:#555}.bg{fill:#f4f2ec}.soc{fill:#3b6ea5}.dark{fill:#b3261e}")
    print(f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{y - GAP + 26}" '
          f'viewBox="0 0 {WIDTH} {y - GAP + 26}" role="img"><title>State of charge by day and dark hours</title>'
          f"<style>{style}</style><rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>")
    print("\n".join(out))
    print("</svg>")


main(sys.argv[1:])
