#!/usr/bin/env bash
# consumers.sh FOLDER SOURCE: runs the built programs of examples/consumers and compares what they print with values that come from
# elsewhere, each to the accuracy its row or the library's documentation states.
set -euo pipefail
programs=$1 source=$2
export LC_ALL=C
failed=0
# near WHAT VALUE REFERENCE RELATIVE
near() {
  if ! awk -v v="$2" -v r="$3" -v t="$4" 'BEGIN { d = v - r; if (d < 0) d = -d; if (r < 0) r = -r; exit !(v != "" && d <= t * r) }'; then
    echo "$1 is $2, and should be $3 within $4" >&2
    failed=1
  fi
}
row() { grep "^$2," "$source/tests/data/$1"; }

# Row LV2 of lossy_vectors.csv: derived by nodal equations at 40 digits, repeated by a circuit simulator. The program prints ten digits.
lv2=$(row network/lossy_vectors.csv LV2 | sed 's/"[^"]*"/-/')
network=$("$programs/network" 3.6MHz 8-900j)
of_network() { sed -n "s/^$1,//p" <<<"$network"; }
near "input resistance" "$(of_network input_r_ohm)" "$(cut -d, -f8 <<<"$lv2")" 1e-9
near "input reactance" "$(of_network input_x_ohm)" "$(cut -d, -f9 <<<"$lv2")" 1e-9
near "loss" "$(of_network dissipation_db)" "$(cut -d, -f12 <<<"$lv2")" 1e-9
near "transducer loss" "$(of_network transducer_db)" "$(cut -d, -f13 <<<"$lv2")" 1e-9
# Of 5 W the row's efficiency and mismatch leave the load so much; the rest is in parts and not accepted.
near "power in the load" "$(of_network load_w)" "$(awk -v db="$(cut -d, -f13 <<<"$lv2")" 'BEGIN { printf "%.15g", 5 * exp(-db / 10 * log(10)) }')" 1e-9

# Row TM1 of matched_t.csv: a T that is matched exactly with its losses.
tm1=$(row tuner/matched_t.csv TM1)
tuner=$("$programs/tuner_range" "$source/tests/install/matched_t.toml" 1.85MHz 10 | tail -n 1)
[ "$(cut -d, -f4 <<<"$tuner")" = yes ] || { echo "the T does not match its load: $tuner" >&2; failed=1; }
near "SWR of the matched T" "$(cut -d, -f5 <<<"$tuner")" 1 1e-9
near "loss of the matched T" "$(cut -d, -f6 <<<"$tuner")" "$(cut -d, -f11 <<<"$tm1")" 1e-9

# Row 20, 50, 3, 1.5, 30 of prox_test_vectors.csv: phi, the resistance over that of a skin layer, and L, both with 4 pi 1e-7 H/m and
# without the helix factor of the wire's length; copper of 1/58 uohm m (IEC 60028, 1925). Accuracy of the coil's resistance: 1e-3.
prox=$(grep '^20,50,3,1.5,30,' "$source/tests/data/coil/prox_test_vectors.csv")
reference=$(awk -F, -v row="$prox" 'BEGIN {
  split(row, c, ","); pi = 3.14159265358979; mu = 4e-7 * pi; rho = 1 / 58e6
  depth = 0.5e-3 * c[4] / c[5]; f = rho / (pi * mu * depth * depth); surface = rho / depth
  resistance = c[7] * c[1] * (c[2] / c[4]) * surface * sqrt(1 + (c[3] / (pi * c[2])) ^ 2)
  printf "%.15g %.15g", f, 2 * pi * f * c[8] * 1e-6 / resistance }')
coil=$("$programs/coil_q" 20 50mm 3mm 1.5mm "${reference% *}" | tail -n 1)
near "inductance" "$(cut -d, -f2 <<<"$coil")" "$(cut -d, -f8 <<<"$prox")e-6" 1e-5
near "Q" "$(cut -d, -f4 <<<"$coil")" "${reference#* }" 1e-3

# What they cannot do is status 2 and a line that says so.
for wrong in "network 3.6kg 8-900j" "tuner_range none.toml 7MHz 50" "coil_q 20 50mm 3mm 5mm 7MHz"; do
  status=0
  # shellcheck disable=SC2086
  said=$("$programs"/$wrong 2>&1 >/dev/null) || status=$?
  [ $status = 2 ] || { echo "\"$wrong\" ended with $status" >&2; failed=1; }
  [[ $said == "${wrong%% *}: "* && $said != *$'\n'* ]] || { echo "\"$wrong\" said: $said" >&2; failed=1; }
done
exit $failed
