#!/usr/bin/env bash
# scripts/check-sizes refuses a file, a function or a line that is too long.
set -euo pipefail
check=$DRYFRONT_SOURCE_DIR/scripts/check-sizes

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
mkdir -p "$scratch"/solver/numerics "$scratch"/scripts
refuse() {  # file, place and words of the complaint
  if "$check" "$scratch" >"$scratch/log"; then
    echo "not refused: $2"
    exit 1
  fi
  grep -qF "$1$2" "$scratch/log" || { cat "$scratch/log"; exit 1; }
  rm "$scratch/$1"
}
repeated() { for ((k = 0; k < $1; ++k)); do echo "$2"; done; }

file=solver/numerics/broken.cpp
repeated 501 'int a;' >"$scratch/$file"
refuse "$file" ':1: 501 lines in the file'
{ echo '// ' | tr -d '\n'; repeated 40 'abc ' | tr -d '\n'; echo; } >"$scratch/$file"
refuse "$file" ':1: 163 columns'
function_of() { echo 'void longer(int a) {'; repeated "$1" '  ++a;'; echo '}'; }
function_of 59 >"$scratch/$file"
refuse "$file" ':1: longer has 61 lines'
file=scripts/broken
{ printf '#!/usr/bin/env python3\ndef longer():\n'; repeated 60 '    pass'; } >"$scratch/$file"
refuse "$file" ':2: longer has 61 lines'

function_of 58 >"$scratch/solver/numerics/sound.cpp"
{ echo '// Long: one line for each of many things.'; function_of 80; } >"$scratch/solver/numerics/explained.cpp"
"$check" "$scratch"
