#!/usr/bin/env bash
# Makes the demo's sheet and has it judged by PDF programs that are installed
# (Debian: qpdf, mupdf-tools, poppler-utils). Says which were skipped.
set -euo pipefail
cd "$(dirname "$0")/.."
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
cargo run --quiet --bin demo -- "$out" 2>/dev/null
pdf="$out/shift-sheet.pdf"

have() { command -v "$1" >/dev/null || { echo "skipped: $1 is not installed"; return 1; }; }

if have qpdf; then qpdf --check "$pdf" | tail -1; fi
if have mutool; then mutool info "$pdf" | grep '^Pages'; fi
if have pdftotext; then
    pdftotext -layout "$pdf" "$out/sheet.txt"
    for word in "Fernhollow Hall" "mph" "Page 1 of"; do
        grep -q "$word" "$out/sheet.txt" || { echo "\"$word\" is not in the PDF's text"; exit 1; }
    done
    echo "pdftotext: text found"
fi

# The page of an event of the same night.
cargo run --quiet --bin underbrush -- trace 1 --in "$out" --pdf "$out/event.pdf" >/dev/null
if have qpdf; then qpdf --check "$out/event.pdf" >/dev/null || { echo "qpdf: event.pdf"; exit 1; }; fi

# The twelve scenario sheets: whole files, and pictures of them against those kept.
mkdir "$out/sheets"
SHEETS_TO="$out/sheets" cargo test --quiet --workspace --lib every_scenario >/dev/null
for pdf in "$out"/sheets/*.pdf; do
    if command -v qpdf >/dev/null; then qpdf --check "$pdf" >/dev/null || { echo "qpdf: $pdf"; exit 1; }; fi
done
if have python3; then
    python3 -B tests/sheet_pictures.py "$out/sheets" || { status=$?; [ "$status" = 77 ] || exit "$status"; }
fi
