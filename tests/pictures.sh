#!/usr/bin/env bash
# Makes the README's pictures from the demos' sheets: small grey PNGs in report/assets/.
#
#   tests/pictures.sh [FOLDER]    FOLDER: where demo_programme has written, and demo into
#                                 FOLDER/night; else both are run
#
# Needs pdftoppm (Debian: poppler-utils); says so and ends with 77 where it is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
command -v pdftoppm >/dev/null || { echo "pictures: SKIPPED: pdftoppm is not installed"; exit 77; }
made=${1:-}
if [ -z "$made" ]; then
    made=$(mktemp -d)
    trap 'rm -rf "$made"' EXIT
    cargo run --quiet --release --bin demo_programme -- "$made"
    cargo run --quiet --release --bin demo -- "$made/night"
fi

# picture PDF PAGE NAME DOTS_TO_THE_INCH
picture() {
    [ -f "$made/$1" ] || { echo "pictures: $made/$1 is missing" >&2; exit 2; }
    pdftoppm -png -gray -r "$4" -f "$2" -l "$2" -singlefile "$made/$1" "report/assets/$3"
    echo "report/assets/$3.png: $(wc -c <"report/assets/$3.png") bytes"
}

picture last-night.pdf 1 programme-night 65
picture programme.pdf 1 programme-page 65
picture month.pdf 1 programme-month 65
picture night/shift-sheet.pdf 1 shift-sheet 90
