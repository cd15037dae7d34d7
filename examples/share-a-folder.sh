#!/bin/sh
# A folder of pictures, too large for one machine: shared out, made, checked.
#
#     sh examples/share-a-folder.sh OUTDIR
#
# The studio is invented: Saltmarsh Row has a folder of pictures for each of its
# students, and three machines for a night. Here three runs on one machine stand
# for them, started by GNU parallel (Debian package parallel). Everything is
# written into OUTDIR, which must be new or empty. ACTINIC=/path/to/actinic runs a
# program that is built already; otherwise this builds one.
#
# A share is K/N: of N shares the K-th. Which pictures are in it follows from
# their names alone, so that no machine needs to know of the others. Whatever
# starts numbered jobs can spread a folder:
#
#     a job array, tasks 1 to 20 (the scheduler's name for the number may differ):
#         actinic negative pictures --calibration c.calibration.json -o films --part "$TASK_ID/20"
#     an indexed Kubernetes job of 20 completions, numbered from 0:
#         actinic negative pictures --calibration c.calibration.json -o films \
#             --part "$((JOB_COMPLETION_INDEX + 1))/20"
#
# A job that was killed is started again, and goes on where it stopped.
set -eu

command -v parallel >/dev/null || {
	echo "GNU parallel is missing: install the Debian package parallel" >&2
	exit 1
}
. "$(dirname "$0")/shared/begin.sh"

# same WHAT WANT GOT stops where two answers differ.
same() {
	[ "$2" = "$3" ] || {
		printf '%s: expected:\n%s\nfound:\n%s\n' "$1" "$2" "$3" >&2
		exit 1
	}
}

# named FOLDER lists the files in it without their endings.
named() { (cd "$1" && find . -type f -not -path '*/.actinic/*' | sed 's/\.[^.]*$//' | sort); }

cd "$out"
photos=$root/testdata/photos
for student in ardel bexley corin dunmore; do
	mkdir -p "pictures/$student/harbour" "pictures/$student/still lifes"
	cp "$photos/cat.png" "pictures/$student/cat.png"
	cp "$photos/dandelions.jpg" "pictures/$student/harbour/dandelions.jpg"
	cp "$photos/amphitheatre-16bit.tif" "pictures/$student/still lifes/steps.tif"
done
"$actinic" --quiet curve --ramp "$root/examples/first-cyanotype/ramp.csv" --process cyanotype_classic \
	-o blue.calibration.json >/dev/null

step 'The folder of the students, in three shares'
parallel --will-cite --line-buffer --tag "'$actinic'" negative pictures --calibration blue.calibration.json \
	--size 5x4in -o films --part {}/3 ::: 1 2 3

step 'Every picture has its film, in the same folders'
same 'the films' "$(named pictures)" "$(named films)"
named films

step 'One run for the whole folder finds nothing left to do'
"$actinic" negative pictures --calibration blue.calibration.json --size 5x4in -o films | tee again.txt
same 'the second run' 'films made: 0, there already: 12, failed: 0' "$(tail -n 1 again.txt)"

step 'The shares are what one run makes, byte for byte'
SOURCE_DATE_EPOCH=1767225600 "$actinic" --quiet negative pictures --calibration blue.calibration.json \
	--size 5x4in -o whole >/dev/null
SOURCE_DATE_EPOCH=1767225600 parallel --will-cite "'$actinic'" --quiet negative pictures \
	--calibration blue.calibration.json --size 5x4in -o shared --part {}/5 ::: 1 2 3 4 5 >/dev/null
diff -r whole shared
echo 'no difference'

printf '\nAll of it is in %s.\n' "$out"
