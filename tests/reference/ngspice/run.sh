#!/bin/sh
# Runs every deck with ngspice in batch mode and leaves one CSV per deck in the folder given.
# usage: run.sh OUTPUT_FOLDER
set -eu
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
cd "$1"
for deck in light half full one_open five_open asymmetric_light asymmetric_half; do
    ngspice -b "$here/$deck.cir" > "$deck.log" 2>&1 || { cat "$deck.log" >&2; exit 1; }
    # A deck that failed inside may still leave with status 0.
    [ -s "$deck.txt" ] || { cat "$deck.log" >&2; exit 1; }
    awk 'NR == 1 { print "time_s,output_a,capacitor_v,control_a"; next }
         { printf "%.9g,%.7g,%.7g,%.7g\n", $1, $2, $3, $4 }' "$deck.txt" > "$deck.csv"
    rm "$deck.txt" "$deck.log"
done
