"""What if the array were steeper? Dark hours and curtailed energy by tilt, as a
line each in tilt.svg, and as text. Needs nothing but Python:
  BANKYEAR=http://127.0.0.1:8080 python3 tilt.py ../../api/examples/hut.json
"""
import json, os, sys, urllib.error, urllib.request

if len(sys.argv) < 2:
    sys.exit("a request is missing, such as ../../api/examples/hut.json")
if not os.environ.get("BANKYEAR"):
    sys.exit("BANKYEAR is missing: the service, such as http://127.0.0.1:8080")
tilts = range(10, 91, 10)
with open(sys.argv[1]) as file:
    hut = json.load(file)
study = {"base": hut, "candidates": {f"t{t}": {"array": {"planes": {"roof": {"tilt_deg": t}}}} for t in tilts}}
ask = urllib.request.Request(os.environ["BANKYEAR"] + "/v1/comparisons", json.dumps(study).encode(), {"Content-Type": "application/json"})
try:
    with urllib.request.urlopen(ask) as answer:
        figures = {c["candidate"]: c["answer"]["figures"] for c in json.load(answer)["candidates"]}
except urllib.error.HTTPError as problem:
    sys.exit(problem.read().decode())

lines = []
for name, colour in (("downtime_h", "#9b2226"), ("curtailed_kwh", "#ca6702")):
    values = [figures[f"t{t}"][name] for t in tilts]
    points = " ".join(f"{40 + 5 * t:.0f},{220 - 160 * v / (max(values) or 1):.1f}" for t, v in zip(tilts, values))
    lines.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"/>'
                 f'<text x="60" y="{len(lines) * 18 + 20}" fill="{colour}">{name}, at most {max(values):.0f}</text>')
    print(name, *(f"{t}°: {v:.0f}" for t, v in zip(tilts, values)), sep="  ")
axis = "".join(f'<text x="{30 + 5 * t}" y="240">{t}°</text>' for t in tilts) + '<text x="80" y="260">tilt; each line from 0 to its own most</text>'
with open("tilt.svg", "w") as file:
    file.write(f'<svg xmlns="http://www.w3.org/2000/svg" width="520" height="270" font-family="sans-serif" font-size="13">{"".join(lines)}{axis}</svg>')
