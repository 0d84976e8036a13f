#!/usr/bin/env bash
# A bad case ends with exit code 2 (4 where a file cannot be read), a message on standard error that says where, nothing
# on standard output and no file, not even a half one.
set -uo pipefail
failures=0

cat >good.toml <<'END'
[specimen]
tissue = "liver_ex_vivo"
radius_mm = 20
depth_mm = 20
[electrode]
radius_mm = 4
[[mode]]
name = "continuous"
activation_s = 1
source = { kind = "constant_power", setting_W = 20 }
END

# refused EXIT_CODE MESSAGE FILE [ARGUMENT...]: run FILE and look for MESSAGE.
refused() {
  local code=$1 message=$2 file=$3
  shift 3
  rm -f out.h5 out.h5.part out.xdmf
  "$DRYFRONT_BINARY" run "$file" --out out.h5 --json "$@" >stdout 2>stderr </dev/null
  local got=$?
  if [[ $got != "$code" ]] || ! grep -qF -- "$message" stderr || [[ -s stdout ]] || compgen -G 'out.*' >/dev/null; then
    echo "FAILED: $file $*: exit code $got where $code is expected, looked for: $message"
    echo "--- standard error"; cat stderr; echo "--- standard output"; cat stdout; compgen -G 'out.*'
    failures=$((failures + 1))
  fi
}

# edited SCRIPT: good.toml with one sed command done to it, as bad.toml.
edited() {
  sed -e "$1" good.toml >bad.toml
  cmp -s good.toml bad.toml && { echo "FAILED: '$1' changes nothing"; failures=$((failures + 1)); }
}

edited 's/^radius_mm = 4/radius_cm = 0.4/';        refused 2 "bad.toml:6:1: unknown key 'electrode.radius_cm'" bad.toml
                                                   refused 2 "did you mean 'radius_mm'?" bad.toml
edited 's/^radius_mm = 4/raduis_mm = 4/';          refused 2 "did you mean 'radius_mm'?" bad.toml
edited 's/^radius_mm = 4/radius_mm = -4/';       refused 2 "bad.toml:6:13: electrode.radius_mm is out of range" bad.toml
edited 's/^radius_mm = 4/radius_mm = "4"/';        refused 2 "bad.toml:6:13: electrode.radius_mm is a text" bad.toml
edited 's/^radius_mm = 4/radius_mm = 25/';         refused 2 "electrode.radius_mm is wider than the specimen" bad.toml
edited 's/liver_ex_vivo/liver_exvivo/';            refused 2 "did you mean 'liver_ex_vivo'?" bad.toml
edited 's/, setting_W = 20//';                   refused 2 "bad.toml:10:10: mode.0.source.setting_W is missing" bad.toml
edited 's/constant_power/constant_powr/';          refused 2 "did you mean 'constant_power'?" bad.toml
edited 's/activation_s = 1/activation_s = nan/';   refused 2 "bad.toml:9:16: mode.0.activation_s is not finite" bad.toml
edited 's/^\[specimen\]/[specimen/';               refused 2 "bad.toml:1:" bad.toml
edited '$a [[probe]]\nname = "p"\nr_mm = 21\nz_mm = 1'
refused 2 "bad.toml:13:8: probe.0.r_mm is outside the specimen" bad.toml
edited '$a [[mode]]\nname = "continuous"\nsource = { kind = "constant_power", setting_W = 1 }'
refused 2 "bad.toml:12:8: mode.1.name is used twice" bad.toml

# Everything that is wrong is said at once, in the order of the file, and counted.
sed -e '/^\[\[mode\]\]/,$d' -e 's/^radius_mm = 4/radius_cm = 0.4/' good.toml >bad.toml
refused 2 "bad.toml:1:1: missing mode" bad.toml
refused 2 "bad.toml:6:1: unknown key 'electrode.radius_cm'" bad.toml
refused 2 "2 problems" bad.toml
edited 's/setting_W = 20/dial_W = 20/'
refused 2 "bad.toml:10:37: unknown key 'mode.0.source.dial_W': it is called setting_W now" bad.toml

refused 2 "--set mode.0.source.seting_W=5" good.toml --set mode.0.source.seting_W=5
refused 2 "did you mean 'setting_W'?" good.toml --set mode.0.source.seting_W=5
refused 2 "finds no entry '1'" good.toml --set mode.1.activation_s=5
refused 4 "no_such_case.toml" no_such_case.toml
refused 4 "no_such_table.csv" good.toml \
  --set 'mode.0.source={ kind = "table", setting_W = 5, file = "no_such_table.csv" }'

for file in "$DRYFRONT_SOURCE_DIR"/cases/*.toml; do
  "$DRYFRONT_BINARY" check "$file" >stdout 2>stderr || {
    echo "FAILED: check $file"; cat stderr; failures=$((failures + 1)); }
done
exit $((failures > 0))
