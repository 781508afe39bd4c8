#!/bin/sh
# Makes the two typefaces of the printed sheet from the full Noto Sans 2.004
# (Debian package fonts-noto-core) with pyftsubset 4.38.0 (package fonttools).
# The time stamp of the source is kept, so the same input gives the same bytes.
#
# Kept: Latin with Extended-A, -B and Additional, Greek, Cyrillic, combining
# accents, punctuation, superscripts, currency, letterlike and number forms, and
# the replacement character. Left out: hinting, kerning and all other layout
# tables, which the sheet does not use.
set -eu
from=${1:-/usr/share/fonts/truetype/noto}
cd "$(dirname "$0")"
ranges="U+0020-007E,U+00A0-024F,U+02B0-036F,U+0370-03FF,U+0400-052F"
ranges="$ranges,U+1E00-1EFF,U+2010-2027,U+2030-205E,U+2070-209C,U+20A0-20BF"
ranges="$ranges,U+2100-214F,U+2150-218B,U+2212,U+2248,U+2260,U+2264,U+2265,U+FFFD"
for weight in Regular Bold; do
    pyftsubset "$from/NotoSans-$weight.ttf" \
        --output-file="NotoSans-$weight.ttf" \
        --unicodes="$ranges" --layout-features= --no-hinting \
        --notdef-outline --name-IDs=0,1,2,3,4,5,6,13,14 --drop-tables+=GDEF,GPOS,GSUB,kern,DSIG \
        --no-recalc-timestamp
done
sha256sum NotoSans-Regular.ttf NotoSans-Bold.ttf
