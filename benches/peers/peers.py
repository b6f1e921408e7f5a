#!/usr/bin/env python3
"""Times the library against compiled loops (numba) and a general solver (scipy), on the same data.

Makes a virtual environment with requirements.txt if need be, writes the data, runs both sides, prints
times and ratios, and exits with 1 if the numbers do not agree. See README.md.
"""

import importlib.util
import json
import math
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
VENV = ROOT / "target" / "peers-venv"

DRAWS, DAY, YEAR = 10_000, 1_440, 525_600
PART = 1_440  # minutes of the year that the general solver goes through
R, K11, K21, K22 = 6.0, 0.5, 2.0, 2.0
OIL_MIN, WINDING_MIN, RISE_K, GRADIENT_K, X, Y = 150.0, 7.0, 52.0, 26.0, 0.8, 1.3
START = (50.0, 20.0, 10.0)
# The second lag form, and what the detailed model knows beyond the rises: a winding of copper, the losses as ratios.
N, M2, OIL_RATED_MIN = 0.9, 1.6, 75.0
RATED_C, GUARANTEED_K, WINDING_K, BOTTOM_K, OIL_TAU_MIN = 20.0, 65.0, 57.0, 30.0, 150.0
I2R, EDDY, STRAY, CORE, LOSSES_C, ZERO_K = 180.0, 12.0, 20.0, 34.0, 75.0, 234.5
AMBIENT_C = 20.0

# Same equations, same data, exact update on both sides: what is left is rounding, which ten thousand
# temperatures of 100 degrees and half a million rates add up to.
SAME_K, SAME_SHARE = 1e-9, 1e-10
# The general solver is asked for 1e-9 in each of 1440 steps.
SOLVER_K = 1e-5
# The detailed model has no exact update: both sides are allowed this against steps far shorter, so they may differ by
# twice that.
DETAILED_K = 0.05
MOST_MEMORY_MB = 64.0


def in_venv():
    """Goes on in a virtual environment that has what requirements.txt asks for."""
    if not all(importlib.util.find_spec(name) for name in ("numba", "numpy", "scipy")):
        python = VENV / "bin" / "python"
        if sys.executable == str(python):
            sys.exit(f"{VENV} lacks what requirements.txt asks for")
        if not python.exists():
            subprocess.run([sys.executable, "-m", "venv", VENV], check=True)
        wanted = HERE / "requirements.txt"
        subprocess.run([python, "-m", "pip", "install", "-q", "-r", wanted], check=True)
        os.execv(python, [str(python), *sys.argv])


def loads(np, count):
    """Another load in every minute."""
    k = np.arange(count)
    return 0.9 + 0.3 * np.sin(k / 229.0) + 0.001 * ((k * 7919) % 13)


def transfers(np, load):
    """A third of a unit more for an hour and a half out of eight, from one minute to the next."""
    k = np.arange(load.size)
    return np.round(np.where((k // 97) % 5 == 2, load + 0.35, load - 0.1), 3)


def data(np, folder):
    j = np.arange(DRAWS)
    off = lambda middle, pace: middle * (1.0 + 0.05 * np.sin(j * pace))
    draws = np.column_stack(
        [off(RISE_K, 0.7), off(GRADIENT_K, 1.1), off(OIL_MIN, 1.3), off(WINDING_MIN, 1.7), off(X, 2.1), off(Y, 2.3)]
    )
    year_ambient = 10.0 + 5.0 * np.sin(np.arange(YEAR + 1) / 228.0)
    arrays = {
        "draws": draws,
        "day_load_pu": loads(np, DAY),
        # Metered: three digits.
        "year_load_pu": np.round(loads(np, YEAR), 3),
        "year_ambient_c": year_ambient,
        "moved_load_pu": transfers(np, np.round(loads(np, YEAR), 3)),
    }
    for name, array in arrays.items():
        array.astype("<f8").tofile(folder / f"{name}.f64")
    return arrays


def compiled(nb, np):
    """The loops, with what does not depend on the draw hoisted out of them."""

    @nb.njit(parallel=True)
    def factors(oil, winding, ambient_c, rise, g1, g2, oil_stays, first_stays, second_stays, out):
        for j in nb.prange(rise.size):
            o, a, b = START
            most = o + a - b
            for k in range(oil.size):
                u = oil[k] * rise[j] + ambient_c
                first, second = winding[k] * g1[j], winding[k] * g2[j]
                o = u + (o - u) * oil_stays[j]
                a = first + (a - first) * first_stays[j]
                b = second + (b - second) * second_stays[j]
                hot = o + a - b
                if hot > most:
                    most = hot
            out[j] = most

    @nb.njit(parallel=True)
    def exponents(loss, load, ambient_c, x, y, rise, g1, g2, oil_stays, first_stays, second_stays, out):
        for j in nb.prange(rise.size):
            o, a, b = START
            most = o + a - b
            for k in range(load.size):
                u = loss[k] ** x[j] * rise[j] + ambient_c
                w = load[k] ** y[j]
                first, second = w * g1[j], w * g2[j]
                o = u + (o - u) * oil_stays[j]
                a = first + (a - first) * first_stays[j]
                b = second + (b - second) * second_stays[j]
                hot = o + a - b
                if hot > most:
                    most = hot
            out[j] = most

    @nb.njit
    def year(load, ambient_c, oil_min, first_min, second_min):
        oil_stays, first_stays, second_stays = np.exp(-1.0 / oil_min), np.exp(-1.0 / first_min), np.exp(-1.0 / second_min)
        o, a, b = START
        most = o + a - b
        rate = 2.0 ** ((most - 98.0) / 6.0)
        age = 0.0
        for k in range(load.size):
            slope = ambient_c[k + 1] - ambient_c[k]
            u = ((1.0 + load[k] * load[k] * R) / (1.0 + R)) ** X * RISE_K + ambient_c[k] - slope * oil_min
            w = load[k] ** Y * GRADIENT_K
            first, second = K21 * w, (K21 - 1.0) * w
            o = u + (o - u) * oil_stays + slope
            a = first + (a - first) * first_stays
            b = second + (b - second) * second_stays
            hot = o + a - b
            if hot > most:
                most = hot
            later = 2.0 ** ((hot - 98.0) / 6.0)
            age += 0.5 * (rate + later)
            rate = later
        return most, age / 60.0

    return factors, exponents, year


def three_models(nb, np):
    """The two lag forms, with what depends on a load kept for the next minute that has it, and the detailed model."""

    @nb.njit(fastmath=True)
    def lags(load, ambient_c, out):
        iec = np.exp(-1.0 / (K11 * OIL_MIN)), np.exp(-1.0 / (K22 * WINDING_MIN)), np.exp(-1.0 / (OIL_MIN / K22))
        ieee = np.exp(-1.0 / OIL_RATED_MIN), np.exp(-1.0 / WINDING_MIN)
        o, a, b = START
        rise, g = START[0] - ambient_c[0], START[1] - START[2]
        # Metered loads have three digits: a table by thousandths, which is right for any others too.
        known = np.full((4001, 5), -1.0)
        for k in range(load.size):
            ambient, slope, pu = ambient_c[k], ambient_c[k + 1] - ambient_c[k], load[k]
            row = known[min(int(pu * 1000.0 + 0.5), 4000)]
            if row[0] != pu:
                loss = (1.0 + pu * pu * R) / (1.0 + R)
                row[0], row[1], row[2] = pu, loss**X * RISE_K, pu**Y * GRADIENT_K
                row[3], row[4] = loss**N * RISE_K, pu**M2 * GRADIENT_K
            u, w = row[1] + ambient - slope * (K11 * OIL_MIN), row[2]
            first, second = K21 * w, (K21 - 1.0) * w
            o = u + (o - u) * iec[0] + slope
            a = first + (a - first) * iec[1]
            b = second + (b - second) * iec[2]
            rise = row[3] + (rise - row[3]) * ieee[0]
            g = row[4] + (g - row[4]) * ieee[1]
            out[0] = max(out[0], o + a - b)
            out[1] = max(out[1], ambient_c[k + 1] + rise + g)

    zero = ZERO_K
    tg, tw, tt, tb = (RATED_C + k for k in (GUARANTEED_K, WINDING_K, RISE_K, BOTTOM_K))
    th, to, duct = tt + GRADIENT_K, 0.5 * (tt + tb), tt - tb
    f = (zero + tg) / (zero + LOSSES_C)
    i2r, eddy, stray, core = I2R * f, EDDY / f, STRAY / f, CORE
    total, lost = i2r + eddy + stray + core, i2r + eddy
    hot = i2r * (th + zero) / (tg + zero)
    eddy_hot = eddy / i2r * hot
    lost_hot = hot + eddy_hot
    winding_heat = WINDING_MIN * lost / (tw - to)
    oil_heat = OIL_TAU_MIN * total / (to - RATED_C)
    v = 0.25 * 2797.3
    film = math.exp(v / (0.5 * (tw + to) + 273.0)) / (tw - to) ** 1.25
    film_hot = math.exp(v / (0.5 * (th + tt) + 273.0)) / (th - tt) ** 1.25
    # Everything in K/min.
    made_1, made_2, loses = i2r / winding_heat / (tg + zero), eddy / winding_heat * (tg + zero), lost / winding_heat
    hot_1, hot_2, hot_loses = hot / winding_heat / (th + zero), eddy_hot / winding_heat * (th + zero), lost_hot / winding_heat
    oil_core, oil_stray = core / oil_heat, stray / oil_heat * (tg + zero)
    oil_gets, oil_loses = lost / oil_heat, total / oil_heat
    per_rise, y = 1.0 / (to - RATED_C), 1.0 / 0.9

    @nb.njit(fastmath=True)
    def printed(load, ambient_c, begin, steps, out):
        """As the guide prints it: explicit, the duct's oil that of the step before."""
        h = 1.0 / steps
        w, g, o = begin
        half = 0.5 * duct * np.sqrt((max(o - ambient_c[0], 0.0) * per_rise) ** y)
        top, bottom = o + half, o - half
        duct_oil, most = bottom + 0.5 * duct * load[0], g
        for k in range(load.size):
            square, per_step = load[k] * load[k], (ambient_c[k + 1] - ambient_c[k]) * h
            for j in range(steps):
                ambient = ambient_c[k] + per_step * j
                warm = w + zero
                over = w - duct_oil
                share = 0.0
                if over > 0.0:
                    share = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (w - 0.5 * over + 273.0)) * film
                next_w = w + h * (square * (made_1 * warm + made_2 / warm) - loses * share)
                rise = duct * np.sqrt(share)
                duct_oil = bottom + 0.5 * rise
                beside = max(bottom + rise, top)
                g = max(g, max(next_w, beside))
                hotter, over = g + zero, g - beside
                gone = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (g - 0.5 * over + 273.0)) * film_hot
                g += h * (square * (hot_1 * hotter + hot_2 / hotter) - hot_loses * gone)
                taken = (max(o - ambient, 0.0) * per_rise) ** y
                o += h * (oil_gets * share + oil_core + square * oil_stray / warm - oil_loses * taken)
                half = 0.5 * duct * np.sqrt(taken)
                top, bottom, w = o + half, max(o - half, ambient), next_w
            most = max(most, g)
            out[k] = g
        return most

    @nb.njit(fastmath=True)
    def midpoint(load, ambient_c, begin, steps, out):
        """Second order: the rule of the middle, the duct by a step of Newton's from where it was."""
        h = 1.0 / steps
        w0, g0, o0 = begin
        most, root = g0, 1.0
        for k in range(load.size):
            square, slope = load[k] * load[k], ambient_c[k + 1] - ambient_c[k]
            for j in range(steps):
                w, g, o = w0, g0, o0
                for middle in range(2):
                    ambient = ambient_c[k] + slope * h * (j + 0.5 * middle)
                    taken = (max(o - ambient, 0.0) * per_rise) ** y
                    half = 0.5 * duct * np.sqrt(taken)
                    top, bottom = o + half, max(o - half, ambient)
                    over = max(w - bottom - 0.5 * duct * root, 1e-9)
                    share = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (w - 0.5 * over + 273.0)) * film
                    root -= (root * root - share) / (2.0 * root + share * 0.625 * duct / over)
                    share = root * root
                    beside = max(bottom + duct * root, top)
                    g = max(g, max(w, beside))
                    over = g - beside
                    gone = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (g - 0.5 * over + 273.0)) * film_hot
                    warm, hotter = w + zero, g + zero
                    d_w = square * (made_1 * warm + made_2 / warm) - loses * share
                    d_g = square * (hot_1 * hotter + hot_2 / hotter) - hot_loses * gone
                    d_o = oil_gets * share + oil_core + square * oil_stray / warm - oil_loses * taken
                    step = h * (0.5 if middle == 0 else 1.0)
                    w, g, o = w0 + step * d_w, g0 + step * d_g, o0 + step * d_o
                w0, g0, o0 = w, g, o
            most = max(most, g0)
            out[k] = g0
        return most

    @nb.njit(fastmath=True)
    def slow_oil(load, ambient_c, begin, steps, out):
        """The same with the oil's powers once a step: in the middle top and bottom oil go on as they went."""
        h = 1.0 / steps
        w0, g0, o = begin
        most, root = g0, 1.0
        half = 0.5 * duct * np.sqrt((max(o - ambient_c[0], 0.0) * per_rise) ** y)
        top_0, bottom_0 = o + half, o - half
        for k in range(load.size):
            square, slope = load[k] * load[k], ambient_c[k + 1] - ambient_c[k]
            for j in range(steps):
                ambient = ambient_c[k] + slope * h * j
                taken = (max(o - ambient, 0.0) * per_rise) ** y
                half = 0.5 * duct * np.sqrt(taken)
                top, bottom = o + half, max(o - half, ambient)
                w, g, middle_top, middle_bottom = w0, g0, 1.5 * top - 0.5 * top_0, 1.5 * bottom - 0.5 * bottom_0
                top_0, bottom_0 = top, bottom
                for middle in range(2):
                    over = max(w - bottom - 0.5 * duct * root, 1e-9)
                    share = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (w - 0.5 * over + 273.0)) * film
                    root -= (root * root - share) / (2.0 * root + share * 0.625 * duct / over)
                    share = root * root
                    beside = max(bottom + duct * root, top)
                    g = max(g, max(w, beside))
                    over = g - beside
                    gone = over * np.sqrt(np.sqrt(over)) * np.exp(-v / (g - 0.5 * over + 273.0)) * film_hot
                    warm, hotter = w + zero, g + zero
                    d_w = square * (made_1 * warm + made_2 / warm) - loses * share
                    d_g = square * (hot_1 * hotter + hot_2 / hotter) - hot_loses * gone
                    step = h * (0.5 if middle == 0 else 1.0)
                    w, g, top, bottom = w0 + step * d_w, g0 + step * d_g, middle_top, middle_bottom
                o += h * (oil_gets * share + oil_core + square * oil_stray / warm - oil_loses * taken)
                w0, g0 = w, g
            most = max(most, g0)
            out[k] = g0
        return most

    return lags, (printed, midpoint, slow_oil)


def detailed_year(nb, np, load, ambient, begin):
    """The fastest loop of the three models that stays within DETAILED_K of steps far shorter."""
    lags, loops = three_models(nb, np)
    out, fine, off = np.empty(2), np.empty(load.size), np.empty(load.size)
    loops[1](load, ambient, begin, 20, fine)
    lag_ms = best_ms(lambda: lags(load, ambient, out), 5)
    out[:] = 0.0
    lags(load, ambient, out)
    best = None
    for loop in loops:
        for steps in (1, 2, 4, 8):
            peak_c = loop(load, ambient, begin, steps, off)
            # Where the duct's oil begins is forgotten by then.
            off_k = float(np.abs(off - fine)[600:].max())
            if off_k <= DETAILED_K:
                ms = lag_ms + best_ms(lambda: loop(load, ambient, begin, steps, off), 5)
                if best is None or ms < best["ms"]:
                    how = f"{loop.__name__}, {steps} a minute, off by {off_k:.4f} K"
                    best = {"ms": ms, "iec_c": out[0], "ieee_c": out[1], "detailed_c": float(peak_c), "how": how}
                break
    return best


def best_ms(run, runs=25):
    """After one run to warm up."""
    run()
    best = float("inf")
    for _ in range(runs):
        begun = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - begun)
    return best * 1e3


def theirs(np, arrays, folder):
    import numba as nb

    factors, exponents, year = compiled(nb, np)
    rise, gradient, oil_min, winding_min, x, y = arrays["draws"].T.copy()
    stays = [np.exp(-1.0 / tau) for tau in (K11 * oil_min, K22 * winding_min, oil_min / K22)]
    shared = (AMBIENT_C,)
    own = (rise, K21 * gradient, (K21 - 1.0) * gradient, *stays)
    load = arrays["day_load_pu"]
    loss = (1.0 + load * load * R) / (1.0 + R)
    oil, winding, out = loss**X, load**Y, np.empty(DRAWS)
    taus = (K11 * OIL_MIN, K22 * WINDING_MIN, OIL_MIN / K22)
    with_factors = lambda: factors(oil, winding, *shared, *own, out)
    with_exponents = lambda: exponents(loss, load, *shared, x, y, *own, out)
    through_year = lambda: year(arrays["year_load_pu"], arrays["year_ambient_c"], *taus)
    found = {}
    for cores, name in ((nb.get_num_threads(), ""), (1, "_one_core")):
        nb.set_num_threads(cores)
        for case, run in (("factors", with_factors), ("exponents", with_exponents)):
            ms = best_ms(run, 25 if case == "factors" else 5)
            found[case + name] = {"ms": ms, "mean_peak_c": float(out.mean())}
    peak_c, ageing_h = through_year()
    found["year_one_core"] = {"ms": best_ms(through_year), "peak_c": peak_c, "ageing_h": ageing_h}
    for case in ("year", "moved"):
        begin = np.fromfile(folder / f"{case}_begin.f64")
        load = arrays[f"{case}_load_pu"]
        found[f"{case}_three_models"] = detailed_year(nb, np, load, arrays["year_ambient_c"], tuple(begin))
    found["part_one_core"] = general(np, arrays, taus)
    return found


def general(np, arrays, taus):
    """A day with an adaptive solver that begins anew wherever the load jumps: every minute."""
    from scipy.integrate import solve_ivp

    load, ambient = arrays["year_load_pu"], arrays["year_ambient_c"]

    def run():
        state, most = START, START[0] + START[1] - START[2]
        for k in range(PART):
            oil = ((1.0 + load[k] ** 2 * R) / (1.0 + R)) ** X * RISE_K
            w = load[k] ** Y * GRADIENT_K
            from_c, slope = ambient[k], ambient[k + 1] - ambient[k]

            def rates(t, s):
                return (
                    (oil - (s[0] - from_c - slope * t)) / taus[0],
                    (K21 * w - s[1]) / taus[1],
                    ((K21 - 1.0) * w - s[2]) / taus[2],
                )

            state = solve_ivp(rates, (0.0, 1.0), state, "LSODA", rtol=1e-9, atol=1e-9).y[:, -1]
            most = max(most, state[0] + state[1] - state[2])
        return most

    peak_c = run()
    return {"ms": best_ms(run, 2), "peak_c": float(peak_c)}


def built():
    """The example and the tool, in release mode."""
    command = "cargo build --release --locked --bin bubblemargin --example peers --message-format=json-render-diagnostics"
    lines = subprocess.run(command.split(), cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True).stdout
    found = {}
    for line in lines.splitlines():
        message = json.loads(line)
        if message.get("executable"):
            found[message["target"]["name"]] = message["executable"]
    return found


def process(command, accepted, runs=20):
    """The best time of a whole process, s, and its peak memory, MB."""
    best, memory = float("inf"), 0.0
    for _ in range(runs):
        begun = time.perf_counter()
        child = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        said = child.stderr.read()
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        best = min(best, time.perf_counter() - begun)
        memory = max(memory, usage.ru_maxrss / 1024.0)
        if child.returncode not in accepted:
            sys.exit(f"{' '.join(map(str, command))}: exit {child.returncode}\n{said.decode()}")
    return best, memory


def tool(path, folder):
    """Times the tool; before numpy is loaded, for a child's peak memory begins with its parent's."""
    demo = "check demo-data/units/fellmoor-t2.yaml --loading demo-data/loading/evening-transfer.csv"
    demo += " --ambient-file demo-data/ambient/warm-evening.csv --preload 0.65 --as-of 2026-10-20"
    # 0 to 4 are answers; what the demo's answer is does not matter here.
    answers = (0, 1, 3, 4)
    print("Whole processes, start to end\n")
    for name, more in (("check, with draws", []), ("check, --draws 0", ["--draws", "0"])):
        seconds, memory = process([path, *demo.split(), *more], answers)
        print(f"  {name:<46} {seconds * 1e3:9.1f} ms  {memory:6.1f} MB")
    history = folder / "year.csv"
    with history.open("w") as file:
        file.write("minute,load_pu,ambient_c\n")
        for k in range(YEAR):
            load = 0.9 + 0.3 * math.sin(k / 229.0) + 0.001 * ((k * 7919) % 13)
            file.write(f"{k},{load:.4f},{10.0 + 5.0 * math.sin(k / 228.0):.2f}\n")
    command = f"history demo-data/units/fellmoor-t2.yaml --as-of 2026-10-20 --history {history}"
    seconds, memory = process([path, *command.split()], answers, 3)
    print(f"  {'history, a year at one minute':<46} {seconds * 1e3:9.1f} ms  {memory:6.1f} MB")
    return memory <= MOST_MEMORY_MB


def begins(path, folder):
    """Ours writes where the detailed model begins: the steady state of the first load."""
    subprocess.run([path, folder, "0"], check=True)


def main():
    in_venv()
    paths = built()
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        slim = tool(paths["bubblemargin"], folder)
        import numpy as np

        arrays = data(np, folder)
        # In turns, so that another load of the machine falls on both.
        begins(paths["peers"], folder)
        other = theirs(np, arrays, folder)
        said = subprocess.run([paths["peers"], folder, str(PART)], check=True, stdout=subprocess.PIPE)
        own = json.loads(said.stdout)
        again = theirs(np, arrays, folder)
        for case, result in other.items():
            result["ms"] = min(result["ms"], again[case]["ms"])
        agreed = compare(own, other)
    if not slim:
        print(f"\nThe history took more than {MOST_MEMORY_MB} MB.")
    sys.exit(0 if agreed and slim else 1)


CASES = {
    "factors": f"{DRAWS} draws x {DAY} steps, factors shared",
    "factors_one_core": "  the same on one core",
    "exponents": f"{DRAWS} draws x {DAY} steps, exponents drawn",
    "exponents_one_core": "  the same on one core",
    "year_one_core": "year at one minute, hot spot and ageing, one core",
    "year_three_models": "year at one minute, three models, one core",
    "moved_three_models": "  the same with transfers of a third of a unit",
    "part_one_core": f"{PART} minutes of it, scipy LSODA, one core",
}


def compare(own, other):
    agreed = True
    print(f"\nOn {own['threads']} threads\n\n  {'':<50} {'Rust, ms':>10} {'peer, ms':>10} {'ratio':>8}")
    for case, name in CASES.items():
        mine, peer = own[case], other[case]
        print(f"  {name:<50} {mine['ms']:10.2f} {peer['ms']:10.2f} {peer['ms'] / mine['ms']:8.1f}")
        if "how" in peer:
            print(f"    the peer: {peer['how']}")
        for key in mine.keys() - {"ms"}:
            off = abs(mine[key] - peer[key])
            most = SAME_SHARE * peer[key] if key == "ageing_h" else SAME_K
            most = 2.0 * DETAILED_K if key == "detailed_c" else most
            most = SOLVER_K if case == "part_one_core" else most
            if not off <= most:
                agreed = False
                print(f"    {key}: {mine[key]!r} and {peer[key]!r} differ by {off:.2e}, more than {most:.0e}")
    scaled_s = other["part_one_core"]["ms"] * YEAR / PART / 1e3
    ratio = scaled_s * 1e3 / own["year_one_core"]["ms"]
    print(f"\n  The year by LSODA, scaled up from the part: {scaled_s:.0f} s, {ratio:.0f} times ours (without ageing).")
    print("  The numbers agree." if agreed else "  The numbers do not agree.")
    return agreed


if __name__ == "__main__":
    main()
