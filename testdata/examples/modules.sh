#!/bin/sh
# What if the bank had one to six modules? Dark hours of each as bars in
# modules.svg, and as text. Needs curl and jq:
#   BANKYEAR=http://127.0.0.1:8080 sh modules.sh ../../api/examples/hut.json
set -eu
: "${BANKYEAR:?BANKYEAR is missing: the service, such as http://127.0.0.1:8080}"
base=${1:?a request is missing, such as ../../api/examples/hut.json}
answer=$(jq '{base: ., candidates: ([range(1; 7) | {key: "m\(.)", value: {bank: {modules: .}}}] | from_entries)}' "$base" |
  curl -sS --fail-with-body "$BANKYEAR/v1/comparisons" -H 'Content-Type: application/json' -d @-) ||
  { printf '%s\n' "$answer" >&2; exit 1; }
printf '%s\n' "$answer" |
  jq '[.candidates[] | select(.candidate != "base") | {modules: (.candidate[1:] | tonumber), h: .answer.figures.downtime_h}] | sort_by(.modules)' > modules.json
jq -r '(map(.h) | max + 1) as $most | "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"480\" height=\"\(30 * length + 30)\" font-family=\"sans-serif\" font-size=\"14\">",
  "<text x=\"8\" y=\"20\">Dark hours a year by modules</text>",
  (to_entries[] | "<text x=\"8\" y=\"\(30 * .key + 50)\">\(.value.modules)</text><rect x=\"30\" y=\"\(30 * .key + 36)\" width=\"\(340 * .value.h / $most)\" height=\"18\" fill=\"#2a6f97\"/>",
   "<text x=\"\(340 * .value.h / $most + 36)\" y=\"\(30 * .key + 50)\">\(.value.h | round) h</text>"), "</svg>"' modules.json > modules.svg
jq -r '.[] | "\(.modules) modules: \(.h | round) h dark"' modules.json
