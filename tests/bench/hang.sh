#!/bin/sh
# How a piece hangs: the solver in space beside scipy's minimiser (a general-purpose library) on the same set-ups to equal residuals,
# and the closed form of two legs; processor time a set-up, in turn, the least of TIMES (3). The minimiser gets the same energy over
# the same three unknowns, its slope by formula, plain floats, one start near the answer, and a root finder for the last digits; the
# solver tries all its starts. Held: 20 times faster, the closed form 1,000 times.
set -u
cd "$(dirname "$0")/../.."
BUILD=${BUILD:-build/release}
N=${N:-100}
TIMES=${TIMES:-3}
CASES=$BUILD/tests/bench/hang_cases
python=
for one in python3 /usr/bin/python3; do
    "$one" -c 'import scipy.optimize' 2>/dev/null && python=$one && break
done
[ -n "$python" ] || { echo 'hang beside scipy: not run (no scipy; Debian has it as python3-scipy)'; exit 0; }
work=$(mktemp -d "${TMPDIR:-/tmp}/afterpick-hang-XXXXXX")
trap 'rm -rf "$work"' EXIT INT TERM

cat >"$work/hang.py" <<'PY'
import math
import sys
import time
from scipy.optimize import minimize, root

def problem(line):
    v = [float(x) for x in line.split()]
    weight, cg, side = v[:3]
    legs = [v[i:i + 5] for i in range(3, len(v), 5)]
    scale = max([leg[3] for leg in legs] + [math.dist(leg[:3], (cg, 0, side)) for leg in legs])
    return [((at - cg) / scale, off / scale, (z - side) / scale, length / scale, k * scale / weight)
            for at, off, z, length, k in legs]

def energy(h, legs):
    x, y, z = h[0], h[1], h[2]
    depth = math.sqrt(x * x + y * y + z * z)
    u, gx, gy, gz = -depth, -x / depth, -y / depth, -z / depth
    for px, py, pz, length, k in legs:
        dx, dy, dz = x - px, y - py, z - pz
        d = math.sqrt(dx * dx + dy * dy + dz * dz)
        s = d - length
        if s > 0:
            u += 0.5 * k * s * s
            f = k * s / d
            gx += f * dx
            gy += f * dy
            gz += f * dz
    return u, [gx, gy, gz]

cases = [problem(line) for line in open(sys.argv[1])]
worst, solved = 0.0, 0
start = time.process_time()
for legs in cases:
    mean = sum(leg[3] for leg in legs) / len(legs)
    middle = [sum(leg[i] for leg in legs) / len(legs) for i in range(3)]
    found = minimize(energy, [middle[0], middle[1] + mean, middle[2]], args=(legs,), jac=True, method=sys.argv[2],
                     options={"maxiter": 1000, "gtol": 1e-9})
    h = found.x
    residual = max(abs(g) for g in energy(h, legs)[1])
    if residual > 1e-9:
        h = root(lambda p: energy(p, legs)[1], h, tol=1e-14).x
        residual = max(abs(g) for g in energy(h, legs)[1])
    if residual <= 1e-9:
        worst, solved = max(worst, residual), solved + 1
print("%.3f %.3g %d" % ((time.process_time() - start) / len(cases) * 1e6, worst, solved))
PY

least() { printf '%s\n' "$@" | sort -g | head -n 1; }
bad=0
for legs in 2 3 4; do
    "$CASES" write "$legs" "$N" >"$work/cases"
    ours= closed= theirs=
    i=0
    while [ "$i" -lt "$TIMES" ]; do
        read -r springs form residual solved sum <<END
$("$CASES" time "$legs" "$N")
END
        ours="$ours $springs"
        closed="$closed $form"
        for method in BFGS L-BFGS-B; do
            read -r micro their_residual their_solved <<END
$("$python" "$work/hang.py" "$work/cases" "$method" 2>/dev/null)
END
            theirs="$theirs $micro"
        done
        i=$((i + 1))
    done
    # shellcheck disable=SC2086
    a=$(least $ours) b=$(least $closed) c=$(least $theirs)
    ratio=$(awk -v a="$a" -v c="$c" 'BEGIN { printf "%.0f", c / a }')
    echo "$legs legs, $N set-ups: scipy $c us each ($their_solved solved, residual $their_residual W), springs in space $a us ($solved solved, $residual W): $ratio times faster"
    awk -v r="$ratio" 'BEGIN { exit !(r >= 20) }' || { echo 'the ratio is below 20'; bad=1; }
    if [ "$legs" -eq 2 ]; then
        ratio=$(awk -v b="$b" -v c="$c" 'BEGIN { printf "%.0f", c / b }')
        echo "2 legs, closed form: $b us each: $ratio times faster than scipy"
        awk -v r="$ratio" 'BEGIN { exit !(r >= 1000) }' || { echo 'the ratio is below 1,000'; bad=1; }
    fi
done
exit $bad
