"""No boiling: coupled charge and heat with rising conductivity, SciPy finite volumes.

Time: two-stage singly diagonally implicit Runge-Kutta, gamma = 1 - 1/sqrt(2) (L-stable, order 2); heating and perfusion
are taken at temperatures predicted to the stage time (order 2). Steps grow from dt/2^levels so that the start at the
disc edge is resolved. One factorisation of the heat operator per step size, conjugate gradients for the charge.
"""

import time

import numpy as np

from _finite_volume import Grid, Operator, Solver, arrhenius, damage_step, depth_of, mirrored_spline


def step_sizes(end, longest, levels):
    """Four steps of longest/2^k for k = levels..1, then equal steps no longer than `longest` [s]."""
    small = [longest / 2**k for k in range(levels, 0, -1) for _ in range(4)]
    rest = end - sum(small)
    count = int(np.ceil(rest / longest - 1e-9))
    return small + [rest / count] * count


# Long: an independent solver of one problem, to be read from top to bottom without a call to follow.
def solve(problems, name, fine, slope, coarse, longest, levels=5, tolerance=1e-6):
    problem, damage, probes = problems[name], problems["damage"], problems["probes"]
    start = time.process_time()
    grid = Grid(problem, fine, slope, coarse)
    heat_capacity = problem["density_kg_m3"] * problem["heat_J_kgK"] * grid.volume
    heat = Operator(grid, contact=False).update(np.full(grid.shape, problem["conduction_W_mK"]))
    charge = Operator(grid, contact=True)
    electric = Solver(tolerance)
    ve, t0 = problem["voltage_V"], problem["start_C"]
    perfusion = problem["perfusion_1_s"] * problem["blood_heat_J_m3K"] * grid.volume
    potential = np.zeros(grid.shape)

    def conductivity(t):
        return problem["conductivity_S_m"] * (1 + problem["conductivity_per_C"] * (t - problem["conductivity_at_C"]))

    def source(t, omega):
        """Heating and perfusion of each cell [W], and the load [ohm]."""
        nonlocal potential
        charge.update(conductivity(t))
        b = np.zeros(grid.shape)
        b[0] = charge.top * ve
        potential = electric.solve(charge.matrix(), b.ravel(), potential.ravel()).reshape(grid.shape)
        q = charge.dissipation(potential, ve)
        load = ve * ve / q.sum()
        if problem["perfusion_1_s"] > 0:
            q = q + perfusion * np.exp(-omega) * (problem["blood_C"] - t)
        return q, load

    gamma = 1 - 1 / np.sqrt(2)
    rise, omega = np.zeros(grid.shape), np.zeros(grid.shape)
    q, load_start = source(t0 + rise, omega)
    slope_last, heat_solver, dt_last = q / heat_capacity, Solver(1e-13), None
    for dt in step_sizes(problem["end_s"], longest, levels):
        if dt != dt_last:
            heat_solver.factorise(heat.matrix(shift=heat_capacity / (gamma * dt)))
            dt_last = dt
        rate = np.where(t0 + rise >= damage["floor_C"], arrhenius(damage, t0 + rise), 0.0)
        q, _ = source(t0 + rise + gamma * dt * slope_last, omega + gamma * dt * rate)
        first = heat_solver.factor.solve((q + heat_capacity / (gamma * dt) * rise).ravel()).reshape(grid.shape)
        slope_first = (first - rise) / (gamma * dt)
        q, _ = source(t0 + rise + dt * slope_first, omega + dt * rate)
        base = rise + (1 - gamma) * dt * slope_first
        new = heat_solver.factor.solve((q + heat_capacity / (gamma * dt) * base).ravel()).reshape(grid.shape)
        slope_last = (new - base) / (gamma * dt)
        omega += damage_step(damage, t0 + rise, t0 + new, dt)
        rise = new
    _, load_end = source(t0 + rise, omega)
    cpu = time.process_time() - start

    spline = mirrored_spline(grid, rise)
    points = [(r * 1e-3, z * 1e-3) for z in probes["z_mm"] for r in probes["r_mm"]]
    deep, axis = depth_of(grid, omega)
    return {
        "cells": grid.rows * grid.columns,
        "cpu_s": cpu,
        "longest_s": longest,
        "probe_C": [float(t0 + spline(z, r)[0, 0]) for r, z in points],
        "centre_C": float(t0 + spline(0, 0)[0, 0]),
        "hottest_C": float(t0 + rise.max()),
        "resistance_start_ohm": float(load_start),
        "resistance_end_ohm": float(load_end),
        "depth_mm": 1e3 * float(deep),
        "axis_depth_mm": 1e3 * float(axis),
        "electric_solves": electric.solves,
        "electric_iterations": electric.iterations,
        "factorisations": electric.factorisations,
    }


def resolution(level):
    """Grid and step for one step of the convergence study: everything halves when `level` doubles."""
    return {"fine": 1.5e-4 / level**2, "slope": 0.5 / level, "coarse": 8e-3 / level, "longest": 0.6 / level}
