#!/usr/bin/env bash
# The shift book through a real spreadsheet program and back: names that begin with = + - @,
# umlauts, quotes, line breaks and numbers with leading zeros come back the same, and nothing
# is computed. Needs LibreOffice Calc; UNDERBRUSH is the program, else it is built.
set -euo pipefail
cd "$(dirname "$0")/.."
office=$(command -v soffice || command -v libreoffice || true)
[ -n "$office" ] || { echo "skipped: shift book by a spreadsheet: no LibreOffice (apt-get install libreoffice-calc)"; exit 0; }
if [ -z "${UNDERBRUSH:-}" ]; then
    cargo build --quiet --workspace --bin underbrush
    UNDERBRUSH="${CARGO_TARGET_DIR:-target}/debug/underbrush"
fi
UNDERBRUSH=$(realpath "$UNDERBRUSH")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp tests/spreadsheet/book.toml "$work/book.toml"
cd "$work"

convert() { # file, ending with filter, folder
    timeout 120 "$office" --headless -env:UserInstallation="file://$work/profile" \
        --infilter="$4" --convert-to "$2" --outdir "$3" "$1" >"$work/office.log" 2>&1 \
        || { cat "$work/office.log"; echo "failed: LibreOffice did not convert $1"; exit 1; }
}

compare() { # label
    "$UNDERBRUSH" book back/book.csv --out back.toml
    diff plain.toml back.toml || { echo "failed: $1"; exit 1; }
    rm back.toml
}

# Plain TOML, as the program itself writes it, is what the way through must give again.
"$UNDERBRUSH" book book.toml --out book.csv
"$UNDERBRUSH" book book.csv --out plain.toml
diff <(grep -c '^\[\[' book.toml) <(grep -c '^\[\[' plain.toml)

# To a spreadsheet's own file and back, as comma table in UTF-8 with all cells as shown.
# 44: comma, 34: quote, 76: UTF-8, 1: from line 1.
import='CSV:44,34,76,1'
convert book.csv ods sheet "$import"
convert sheet/book.ods 'csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false' back calc8
compare "comma table"

# No cell became a formula.
python3 - sheet/book.ods <<'PY'
import re, sys, zipfile
content = zipfile.ZipFile(sys.argv[1]).read("content.xml").decode()
assert "table:formula" not in content, re.findall(r'table:formula="[^"]*"', content)
assert "HYPERLINK" in content, "the dangerous text is there, as text"
PY

# The same with semicolons, in a German spreadsheet that knows dates as day.month.year and
# decimal commas. 59: semicolon, 1031: German, true: tell dates and numbers apart.
rm -rf sheet back book.csv
"$UNDERBRUSH" book book.toml --semicolon --out book.csv
convert book.csv ods sheet 'CSV:59,34,76,1,,1031,false,true'
convert sheet/book.ods 'csv:Text - txt - csv (StarCalc):59,34,76,1,,1031,false,true,false' back calc8
compare "semicolon table, German"

# The same in American.
rm -rf sheet back book.csv
"$UNDERBRUSH" book book.toml --out book.csv
convert book.csv ods sheet 'CSV:44,34,76,1,,1033,false,true'
convert sheet/book.ods 'csv:Text - txt - csv (StarCalc):44,34,76,1,,1033,false,true,false' back calc8
compare "comma table, American"
echo "ok: the shift book came back the same from a spreadsheet, three times"
