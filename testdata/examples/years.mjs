// What if the winter is a bad one? Dark hours of twelve years made from the same
// monthly means, sorted, as bars in years.svg, and as text. Needs nothing but node:
//   BANKYEAR=http://127.0.0.1:8080 node years.mjs ../../api/examples/hut.json
import { readFileSync, writeFileSync } from "node:fs";

const end = (text) => { console.error(text); process.exit(1); };
if (!process.argv[2]) end("a request is missing, such as ../../api/examples/hut.json");
if (!process.env.BANKYEAR) end("BANKYEAR is missing: the service, such as http://127.0.0.1:8080");
const base = JSON.parse(readFileSync(process.argv[2], "utf8"));
const years = Array.from({ length: 12 }, (_, member) => ({ weather: { member } }));
const answer = await fetch(process.env.BANKYEAR + "/v1/comparisons", {
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ base, candidates: Object.fromEntries(years.map((patch, i) => [`y${i}`, patch])) }),
});
if (!answer.ok) end(await answer.text());
const dark = (await answer.json()).candidates.filter((c) => c.candidate !== "base").map((c) => c.answer.figures.downtime_h).sort((a, b) => a - b);

const most = Math.max(...dark, 1);
const bars = dark.map((h, i) => `<rect x="${20 + 36 * i}" y="${200 - (160 * h) / most}" width="28" height="${(160 * h) / most}" fill="#5f0f40"/><text x="${22 + 36 * i}" y="216">${Math.round(h)}</text>`);
writeFileSync("years.svg", `<svg xmlns="http://www.w3.org/2000/svg" width="470" height="226" font-family="sans-serif" font-size="12"><text x="20" y="20">Dark hours of twelve years, sorted</text>${bars.join("")}</svg>`);
console.log(`dark hours: ${dark.map(Math.round).join(" ")}; no dark hour in ${dark.filter((h) => h === 0).length} of ${dark.length} years`);
