#!/bin/sh
# Measures studies on this machine: a sweep of 10,000 runs, with one worker and with
# two, without a server and on the embedded queue, and a study of many runs (a million,
# or as many as are stated). Tells time and peak memory.
#
#   testdata/measure-studies.sh [RUNS [WORKERS]]
#
# Needs Go, curl, jq and GNU time.
set -eu
cd "$(dirname "$0")/.."
many=${1:-1000000}
workers=${2:-$(nproc)}
dir=$(mktemp -d)
served=
trap 'test -z "$served" || kill "$served"; rm -rf "$dir"' EXIT
go build -o "$dir/bankyear" ./cmd/bankyear

# study SAMPLES: a sweep over three axes of the bank on one weather year.
study() {
  jq --argjson n "$1" '{kind: "sweep", points: "sobol", samples: $n, base: .base, axes: [
    {path: "bank.modules", range: {start: 2, end: 9, step: 1}},
    {path: "bank.cable_ohm", range: {start: 0.001, end: 0.01}},
    {path: "controls.low_end.resume_soc_fraction", range: {start: 0.1, end: 0.4}}]}' testdata/scenarios/field-station-sizing.json
}

# many RUNS: an ensemble of that many draws of chance in one weather year.
many() {
  jq --argjson n "$(($1 / 10))" '{kind: "ensemble", base: .base, axes: [{path: "bank.modules", range: {start: 1, end: 10, step: 1}}],
    chance: {seed_paths: ["bank.link_faults.seed"], per_year: $n}}' testdata/scenarios/field-station-sizing.json
}

direct() { # NAME WORKERS
  /usr/bin/time -f "%e s, %M kB at most" -o "$dir/took" "$dir/bankyear" study "$dir/$1.json" --workers "$2" --out "$dir/$1.parquet" >/dev/null 2>"$dir/said"
  echo "$1, $2 workers, no server: $(cat "$dir/took"), file of $(stat -c %s "$dir/$1.parquet") bytes"
}

onQueue() { # NAME WORKERS
  rm -rf "$dir/data"
  /usr/bin/time -f "%M" -o "$dir/took" "$dir/bankyear" serve --listen 127.0.0.1:0 --data "$dir/data" --workers "$2" >"$dir/says" 2>/dev/null &
  timed=$!
  until grep -q listens "$dir/says"; do sleep 0.05; done
  served=$(pgrep -P "$timed")
  url=$(sed -n 's/.*listens on //p' "$dir/says")
  begun=$(date +%s.%N)
  id=$(curl -sf "$url/v1/studies" -H 'Content-Type: application/json' -d "@$dir/$1.json" | jq -r .id)
  curl -sfN "$url/v1/studies/$id/events" >/dev/null # ends with the study
  curl -sf "$url/v1/studies/$id/runs" >"$dir/$1.parquet"
  ended=$(date +%s.%N)
  kill "$served"
  served=
  wait "$timed" || true
  echo "$1, $2 workers, embedded queue, Parquet read: $(echo "$ended $begun" | awk '{printf "%.2f", $1 - $2}') s, $(tail -1 "$dir/took") kB at most"
}

study 10000 >"$dir/sweep.json"
many "$many" >"$dir/many.json"
direct sweep 1
direct sweep 2
onQueue sweep 1
onQueue sweep 2
direct many "$workers"
onQueue many "$workers"
