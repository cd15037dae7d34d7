#!/bin/sh
# A first cyanotype, from a chart to a sheet of film and a check of the print,
# command by command.
#
#     sh examples/first-cyanotype.sh OUTDIR
#
# The scenario is invented: the print room at Low Staithe coats cotton paper
# with classic cyanotype and exposes it 8 minutes under UV tubes, through a chart
# on film with a 21-step tablet in its window. Print and scan of the chart are
# simulated, the photographs are real (testdata/README.md says whose). Everything
# is written into OUTDIR, which must be new or empty. ACTINIC=/path/to/actinic
# runs a program that is built already; otherwise this builds one.
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
"$actinic" --quiet demo virtual >/dev/null
cp virtual/scan.png .
cp "$root/examples/first-cyanotype/instrument.csv" "$root/examples/first-cyanotype/strip.csv" .
mkdir pictures
cp "$root/testdata/photos/amphitheatre-16bit.tif" "$root/testdata/photos/cat.png" pictures/
cp "$root/testdata/photos/dandelions.jpg" .

step 'Before anything: how the process is worked, and what can hurt'
"$actinic" process show cyanotype_classic >card.txt
sed -n '1,26p' card.txt
echo '  ... (all of it in card.txt)'

step 'How long to expose: a test strip, and what it says'
run exposure plan --from 2m --to 32m --strips 9
run chart exposure --from 2m --to 32m --strips 9 --process cyanotype_classic -o strip
run exposure find strip.csv

step 'A chart for film, with a window for a step tablet'
run chart ramp --process cyanotype_classic -o ramp

step 'Printed on film, exposed 8 minutes, processed, dried, scanned: scan.png. Read it'
run read scan.png --chart ramp.chart.json --steps 21x0.15+0.05 --show scan-read.png -o ramp.csv

step 'The same print under an instrument: readings by the name of the patch'
run read instrument.csv --chart ramp.chart.json -o by-instrument.csv

step 'What the step tablet says about the paper'
run tablet ramp.tablet.csv --exposure 8m --plot characteristic.png

step 'The same without an instrument: step 2 merged with black, step 13 just seen'
run tablet --eye 2,13 --exposure 8m

step 'The calibration of the setup'
run curve --ramp ramp.csv --tablet ramp.tablet.csv --process cyanotype_classic --exposure 8m \
	--paper 'cotton, 300 g, unbuffered' --film 'inkjet film, clear' --lamp 'UV tubes, 8 cm' \
	--plot curve.png --report blue.html -o blue.calibration.json

step 'A finer chart, its levels where this print changes fastest'
run chart ramp --calibration blue.calibration.json --levels 61 --film 8x10in -o finer

step 'A negative at exact size, with a safe edge'
run negative dandelions.jpg --calibration blue.calibration.json --size 7x5in --fit crop \
	--edge opaque:8 -o dandelions-film.tif

step 'The print to expect'
run proof dandelions.jpg --calibration blue.calibration.json --size 7x5in --fit crop -o dandelions-print.png

step 'The film as PDF: marks, a check strip, rulers'
run sheet dandelions-film.tif --marks --check-strip --calibration blue.calibration.json -o dandelions.pdf

step 'How much sensitiser to mix for a first edition'
run coat --process cyanotype_classic --size 7x5in --prints 6 >coat.txt
sed '/^MAKE UP/,$d' coat.txt
echo '  ... (all of it in coat.txt)'

step 'Another print of the ramp, under an instrument: was it what was planned?'
cp "$root/examples/first-cyanotype/ramp.csv" second-print.csv
run check second-print.csv --calibration blue.calibration.json --exposure 8m --report check.html \
	-o second-print.check.json >check.txt
sed -n '1,15p' check.txt
echo '  ... (all of it in check.txt, and with figures in check.html)'

step 'A folder of pictures, one sheet for all of them'
run negative pictures --calibration blue.calibration.json --size 4x3in --edge keyline:4 -o films
run sheet films/*.tif --marks -o films.pdf

step 'For other programs: a device link with the profile of the grey that it takes, a table, plots'
run export --calibration blue.calibration.json --link film.icc --grey-icc grey.icc
run export --calibration blue.calibration.json --table film.txt --csv curve.csv
run export --calibration blue.calibration.json --figure print --plot expected-print.png
run export --calibration blue.calibration.json --figure uv-density --plot uv-density.svg

step 'No step tablet: the ramp alone is enough for negatives of this setup'
run curve --ramp ramp.csv --process cyanotype_classic --exposure 8m -o ramp-only.calibration.json
run negative dandelions.jpg --calibration ramp-only.calibration.json -o ramp-only-film.tif

step 'but not for the UV density of the ink, and the program says so'
refused 1 export --calibration ramp-only.calibration.json --figure uv-density --plot never.png

step 'A scan of another chart'
refused 1 read scan.png --chart finer.chart.json -o never.csv

step 'A slip of the pen: line, column and what was expected'
sed '/^A4,/s/,[^,]*$/,235.9/' "$root/examples/first-cyanotype/ramp.csv" >slip.csv
refused 1 curve --ramp slip.csv -o never.calibration.json
for never in never.png never.csv never.calibration.json; do
	[ ! -e "$never" ] || {
		echo "$never was written all the same" >&2
		exit 1
	}
done

printf '\nAll of it is in %s. Open blue.html first, then dandelions-print.png and dandelions.pdf.\n' "$out"
