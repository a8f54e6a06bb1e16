#!/bin/sh
# Runs every deck with ngspice in batch mode and leaves one CSV per deck in the folder given.
# usage: run.sh OUTPUT_FOLDER
set -eu
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
cd "$1"
# run DECK HEADER: as many columns are kept as the header names.
run() {
    ngspice -b "$here/$1.cir" > "$1.log" 2>&1 || { cat "$1.log" >&2; exit 1; }
    # A deck that failed inside may still leave with status 0.
    [ -s "$1.txt" ] || { cat "$1.log" >&2; exit 1; }
    awk -v header="$2" 'NR == 1 { columns = split(header, names, ","); print header; next }
         { printf "%.9g", $1; for (k = 2; k <= columns; k++) printf ",%.7g", $k; print "" }' \
        "$1.txt" > "$1.csv"
    rm "$1.txt" "$1.log"
}
for deck in light half full one_open five_open asymmetric_light asymmetric_half; do
    run "$deck" time_s,output_a,capacitor_v,control_a
done
run field_two_groups time_s,output_a,capacitor_v,control_a,output_v
