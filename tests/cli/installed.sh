#!/usr/bin/env bash
# An installed program finds the tissue library and the drawing scripts installed beside it, wherever that is.
set -euo pipefail
prefix=$(mktemp -d)
trap 'rm -rf "$prefix"' EXIT
unset DRYFRONT_SHARE
cmake --install "$(dirname "$DRYFRONT_BINARY")" --prefix "$prefix" >/dev/null
test -f "$prefix/share/dryfront/postproc/figures.py"
test -f "$prefix/share/doc/dryfront/LICENSE"

cp "$prefix/share/dryfront/cases/main.toml" "$prefix/case.toml"
"$prefix/bin/dryfront" check "$prefix/case.toml" >/dev/null

# Its own library and not the source tree's: without it the case's tissue is missing.
mv "$prefix/share/dryfront/cases/tissue/liver_ex_vivo.toml" "$prefix/"
status=0
"$prefix/bin/dryfront" check "$prefix/case.toml" >/dev/null 2>&1 || status=$?
test "$status" -eq 2
