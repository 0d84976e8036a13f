"""Constant power with boil-off to dry-out, SciPy finite volumes.

Each step is implicit Euler for heat and water with the boiling cells as an active set: a cell is
  free     T unknown, its water stays;
  boiling  T = T_b, the surplus of its heat balance takes water away at the latent heat;
  drying   its last water leaves within the step (a known sink), T unknown above T_b.
The sets are iterated to a fixed point (a step whose sets do not settle is halved). The charge is solved at temperatures
and water extrapolated to the middle of the step, with `passes` = 2 once more at the mean of both ends. (At the end of
the step a drying cell would be overheated by the singular end of its drying, and the dry-out time converge with about
the square root of the step.) The step is limited so that the load changes by no more than `change`.
"""

import time

import numpy as np

from _finite_volume import Grid, Operator, Solver, damage_step, depth_of, mirrored_spline

FREE, BOILING, DRYING = 0, 1, 2
HAIR = 1e-6  # share of the water, and [K], below which the sets take a difference for round-off


def crossing(times, loads, level):
    """First time after the least load at which the load passes `level` (log-linear), or nan [s]."""
    loads = np.array(loads)
    first = int(np.argmin(loads))
    above = np.nonzero(loads[first:] >= level)[0]
    if not len(above) or above[0] == 0:
        return float("nan")
    n = first + above[0]
    share = np.log(level / loads[n - 1]) / np.log(loads[n] / loads[n - 1])
    return float(times[n - 1] + share * (times[n] - times[n - 1]))


# Long: an independent solver of one problem, to be read from top to bottom without a call to follow.
def solve(
    problems,
    name,
    fine,
    slope,
    coarse,
    longest,
    change=0.02,
    passes=1,
    tolerance=1e-5,
    ratio=3.0,
    snapshots=(),
    shortest=1e-6,
):
    """Runs until the load has reached `ratio` times its start. `snapshots` [s]: probes, depths, load at those times."""
    problem, damage, probes = problems[name], problems["damage"], problems["probes"]
    cpu_start = time.process_time()
    grid = Grid(problem, fine, slope, coarse)
    tb, t0 = problem["boil_C"], problem["start_C"]
    wet_capacity = problem["density_kg_m3"] * problem["heat_J_kgK"]
    latent = problem["density_kg_m3"] * problem["water_fraction"] * problem["latent_J_kg"] * grid.volume
    dry_k, wet_k, dry_c = problem["dry_conduction_W_mK"], problem["conduction_W_mK"], problem["dry_heat_ratio"]
    heat, charge = Operator(grid, contact=False), Operator(grid, contact=True)
    electric, thermal = Solver(tolerance), Solver(1e-10, patience=15)
    potential = np.zeros(grid.shape)

    def heating(t, s):
        """Heat of each cell [W] at the set power, and the load [ohm]. Solved for 1 V on the disc and scaled."""
        nonlocal potential
        rise = 1 + problem["conductivity_per_C"] * (np.minimum(t, tb) - problem["conductivity_at_C"])
        wet = np.maximum(s ** problem["saturation_exponent"], problem["conductivity_floor"])
        charge.update(problem["conductivity_S_m"] * rise * wet)
        b = np.zeros(grid.shape)
        b[0] = charge.top
        potential = electric.solve(charge.matrix(), b.ravel(), potential.ravel()).reshape(grid.shape)
        q = charge.dissipation(potential, 1.0)
        return q * (problem["power_W"] / q.sum()), 1 / q.sum()

    def advance(t, s, q, dt, kind):
        """One implicit step with given heating; returns temperature, water, sets."""
        heat.update(dry_k + (wet_k - dry_k) * s)
        held = heat.apply(np.full(grid.shape, tb), t0)  # outflow if all were at T_b, with the far faces at the start
        for _ in range(60):
            left = np.where(kind == DRYING, 0.0, s)
            capacity = wet_capacity * (dry_c + (1 - dry_c) * left) * grid.volume
            shift = capacity / dt
            # unknown u = T - T_b, zero in boiling cells
            b = q - held + shift * (t - tb) - np.where(kind == DRYING, latent * s / dt, 0.0)
            free = kind != BOILING
            b = np.where(free, b, 0.0)
            guess = np.where(free, t - tb, 0.0)
            u = thermal.solve(heat.matrix(shift=shift, free=free), b.ravel(), guess.ravel()).reshape(grid.shape)
            surplus = q - heat.apply(tb + u, t0) - shift * (tb + u - t)  # heat left for boiling [W]
            new = kind.copy()
            new[(kind == FREE) & (u > HAIR) & (s > 0)] = BOILING
            new[(kind == BOILING) & (surplus * dt < -HAIR * latent)] = FREE
            new[(kind == BOILING) & (surplus * dt > latent * (s + HAIR))] = DRYING
            new[(kind == DRYING) & (u < -1e3 * HAIR)] = BOILING
            if (new == kind).all():
                water = np.where(kind == BOILING, s - surplus * dt / latent, np.where(kind == DRYING, 0.0, s))
                return tb + u, np.where(water < HAIR, 0.0, np.minimum(water, 1)), kind
            kind = new
        return None

    t, s, omega = np.full(grid.shape, t0), np.ones(grid.shape), np.zeros(grid.shape)
    q, load = heating(t, s)
    times, loads, least = [0.0], [load], load
    slope_t, slope_s = q / (wet_capacity * grid.volume), np.zeros(grid.shape)
    kind = np.zeros(grid.shape, dtype=np.int8)
    now, dt, first_boil, steps, rejected, taken = 0.0, longest / 32, None, 0, 0, []
    pending = sorted(snapshots)
    points = [(r * 1e-3, z * 1e-3) for z in probes["z_mm"] for r in probes["r_mm"]]
    while loads[-1] < ratio * loads[0] and now < problem["end_s"]:
        dt = min(dt, pending[0] - now) if pending else dt
        guess_t, guess_s = t + 0.5 * dt * slope_t, np.clip(s + 0.5 * dt * slope_s, 0, 1)
        guess_t = np.where(guess_s > 0, np.minimum(guess_t, tb), guess_t)
        for _ in range(passes):
            q, load = heating(guess_t, guess_s)
            reached = advance(t, s, q, dt, np.where(kind == DRYING, FREE, kind))
            if reached is None:
                break
            guess_t, guess_s = 0.5 * (t + reached[0]), 0.5 * (s + reached[1])
        if reached is None:  # the active set went round in a circle
            if dt < 1e-3 * shortest:
                raise RuntimeError(f"the active set does not settle at t = {now} s")
            dt *= 0.5
            rejected += 1
            continue
        new_t, new_s, new_kind = reached
        moved = abs(np.log(load / loads[-1]))
        if moved > 1.6 * change and dt > shortest:
            dt = max(shortest, dt * max(0.2, 0.8 * change / moved))
            rejected += 1
            continue
        omega += damage_step(damage, t, new_t, dt)
        slope_t, slope_s = (new_t - t) / dt, (new_s - s) / dt
        times.append(now + 0.5 * dt)  # the load was found in the middle of the step
        loads.append(load)
        t, s, kind, now, steps = new_t, new_s, new_kind, now + dt, steps + 1
        if first_boil is None and (s < 1).any():
            first_boil = now
        if pending and now >= pending[0] - 1e-12:
            pending.pop(0)
            spline = mirrored_spline(grid, t - t0)
            deep, axis = depth_of(grid, omega)
            taken.append(
                {
                    "t_s": now,
                    "probe_C": [float(t0 + spline(z, r)[0, 0]) for r, z in points],
                    "depth_mm": 1e3 * float(deep),
                    "axis_depth_mm": 1e3 * float(axis),
                    "water_lost_mm3": float(((1 - s) * grid.volume).sum() * 1e9),
                }
            )
        dt = min(longest, dt * min(2.0, 0.9 * change / max(moved, 1e-12)))
    for moment in taken:
        moment["resistance_ohm"] = float(np.interp(moment["t_s"], times, loads))
    deep, axis = depth_of(grid, omega)
    return {
        "cells": grid.rows * grid.columns,
        "cpu_s": time.process_time() - cpu_start,
        "longest_s": longest,
        "steps": steps,
        "rejected": rejected,
        "first_boil_s": first_boil,
        "resistance_start_ohm": float(loads[0]),
        "resistance_least_ohm": float(min(loads)),
        "least_at_s": float(times[int(np.argmin(loads))]),
        "double_s": crossing(times, loads, 2 * loads[0]),
        "treble_s": crossing(times, loads, 3 * loads[0]),
        "end_s": now,
        "end_depth_mm": 1e3 * float(deep),
        "hottest_C": float(t.max()),
        "snapshots": taken,
        "electric_iterations": electric.iterations,
        "electric_factorisations": electric.factorisations,
        "thermal_solves": thermal.solves,
        "thermal_iterations": thermal.iterations,
        "thermal_factorisations": thermal.factorisations,
    }
