#!/bin/sh
# Which ink colour, a blend of inks, a second chart, another paper: command by
# command, from readings of an instrument.
#
#     sh examples/ink-colour.sh OUTDIR
#
# The scenario is that of first-cyanotype.sh, and invented as that: the print room
# at Low Staithe prints one chart of colours on film, exposes it 8 minutes and,
# on another sheet, 32 minutes, each time with a 21-step tablet in its window. All
# readings are simulated, and the spectra made up. Everything is written into
# OUTDIR, which must be new or empty. ACTINIC=/path/to/actinic runs a program that
# is built already; otherwise this builds one.
set -eu

. "$(dirname "$0")/shared/begin.sh"

# show COMMAND... prints a command line of actinic.
show() {
	printf '\n$ actinic'
	for word; do
		case $word in
		*' '*) printf " '%s'" "$word" ;;
		*) printf ' %s' "$word" ;;
		esac
	done
	printf '\n'
}

run() {
	show "$@"
	"$actinic" "$@" 2>&1
}

# refused CODE COMMAND... runs a command that must fail with that exit code.
refused() {
	want=$1
	shift
	show "$@"
	code=0
	"$actinic" "$@" 2>&1 || code=$?
	echo "(exit code $code)"
	[ "$code" -eq "$want" ] || {
		echo "expected exit code $want" >&2
		exit 1
	}
}

cd "$out"
cp "$root"/examples/ink-colour/*.csv .
cp "$root/testdata/photos/dandelions.jpg" .

step 'A chart of colours for film'
run chart colours --process cyanotype_classic -o colours

step 'Printed at 8 and at 32 minutes, and read by an instrument. The first print alone'
run opacity short.csv --tablet short.tablet.csv --range 1.8

step 'Both: what is too dense for 8 minutes, the longer exposure reads. At 8 minutes
    paper white needs 1.7, more than from white to black: clear film is beyond black'
run opacity short.csv long.csv --tablet short.tablet.csv --tablet long.tablet.csv \
	--exposure 8m --exposure 32m --range 1.8 --process cyanotype_classic \
	--plot ink-colours.png --blend-plot ink-blend.png -o blue.inks.json

step 'A ramp along the ink blend; printed at 8 minutes and read: the calibration'
run chart ramp --ink-colour blue.inks.json -o ramp
run curve --ramp ramp.csv --tablet ramp.tablet.csv --ink-colour blue.inks.json \
	--process cyanotype_classic --exposure 8m -o blue.calibration.json

step 'A second chart, where the first left doubt; printed and read: both prints'
run chart next --calibration blue.calibration.json -o second
run curve --ramp ramp.csv --tablet ramp.tablet.csv --ramp second.csv --tablet second.tablet.csv \
	--ink-colour blue.inks.json --process cyanotype_classic --exposure 8m -o both.calibration.json

step 'A negative in the colours of the blend, and the print to expect'
run negative dandelions.jpg --calibration both.calibration.json -o film.tif
run proof dandelions.jpg --calibration both.calibration.json -o print.png

step 'A print of the same chart from a printer with other inks: named, and its ramp left out'
run curve --ramp ramp.csv --tablet ramp.tablet.csv --ramp foreign.csv --tablet foreign.tablet.csv \
	--ink-colour blue.inks.json --process cyanotype_classic --exposure 8m -o first-alone.calibration.json | tee foreign.txt
grep -q 'foreign.csv) differs from the other' foreign.txt

step 'Another process and paper, from its step tablet alone'
run curve --ink both.calibration.json --tablet brown.tablet.csv --process vandyke --exposure 6m -o brown.calibration.json

step 'Spectra (invented): what the same lamp and sensitiser would see of the inks,
    and the print beside it, which decides'
run opacity short.csv long.csv --tablet short.tablet.csv --tablet long.tablet.csv --range 1.8 --top 1 \
	--spectra spectra.csv --lamp tube:370 --sensitiser citrate --film-sample clear

step 'Slips of the pen: no tablet, a ramp for colours, another blend, per cent'
refused 2 opacity short.csv -o never.inks.json
refused 1 opacity ramp.csv --tablet ramp.tablet.csv -o never.inks.json
sed '/^A5,/s/,[^,]*,\([^,]*\)$/,10,\1/' ramp.csv >slip.csv
refused 1 curve --ramp slip.csv --ink-colour blue.inks.json -o never.calibration.json
sed '/^320,/s/,[^,]*$/,45/' spectra.csv >percent.csv
refused 1 opacity --spectra percent.csv --lamp tube:370 --sensitiser citrate
for never in never.inks.json never.calibration.json; do
	[ ! -e "$never" ] || {
		echo "$never was written all the same" >&2
		exit 1
	}
done

printf '\nAll of it is in %s. Open ink-colours.png and ink-blend.png first, then print.png.\n' "$out"
