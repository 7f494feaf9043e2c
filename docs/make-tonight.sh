#!/usr/bin/env bash
# Fills the block between the marks `<!-- tonight -->` in README.md with what `cargo run --release` prints, the long
# middle left out.
#
#   docs/make-tonight.sh            writes it
#   docs/make-tonight.sh --check    says whether it is current
set -euo pipefail
cd "$(dirname "$0")/.."

output=$(mktemp)
page=$(mktemp)
trap 'rm -f "$output" "$page"' EXIT

# Plain text of a usual width, the same wherever it is made.
COLUMNS=110 NO_COLOR=1 LC_ALL=C.UTF-8 cargo run --release --quiet </dev/null >"$output"
if [ ! -s "$output" ]; then
    echo "cargo run --release printed nothing" >&2
    exit 1
fi

awk -v output="$output" '
    /^<!-- tonight -->$/ {
        print
        print "```text"
        # The first lines, and the end from what is mixed: the whole is a page for each person.
        number = 0
        rest = 0
        while ((getline line < output) > 0) {
            sub(/[ \t]+$/, "", line)
            number++
            if (line ~ /^To mix/) { rest = 1 }
            if (number <= 26 || rest) { print line }
            if (number == 26 && !rest) { print "  …\n" }
        }
        print "```"
        inside = 1
        next
    }
    /^<!-- end of tonight -->$/ { inside = 0 }
    !inside { print }
' README.md >"$page"

if [ "${1:-}" = --check ]; then
    cmp -s README.md "$page" || { echo "README.md is out of date: run docs/make-tonight.sh" >&2; exit 1; }
else
    cat "$page" >README.md
fi
