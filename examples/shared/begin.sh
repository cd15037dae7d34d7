# Read by the scripts in examples: takes OUTDIR, the first argument, and leaves
#   out      that folder, made and empty
#   root     the clone's own folder, which is the folder now
#   actinic  the program: ACTINIC if that is set, else one built here
#   step     prints a heading
if [ $# -ne 1 ]; then
	echo "usage: sh $0 OUTDIR" >&2
	exit 2
fi
mkdir -p "$1"
if [ -n "$(ls -A "$1")" ]; then
	echo "$1 is not empty: name a new folder" >&2
	exit 1
fi
here=$(pwd)
out=$(cd "$1" && pwd)
cd "$(dirname "$0")/.."
root=$(pwd)

case ${ACTINIC:-} in
'')
	build=$(mktemp -d)
	trap 'rm -rf "$build"' EXIT
	go build -o "$build/" ./cmd/actinic
	actinic=$build/actinic
	;;
/*) actinic=$ACTINIC ;;
*) actinic=$here/$ACTINIC ;;
esac

step() { printf '\n--- %s\n' "$*"; }
