"""Cell-centred finite volumes on a graded (r, z) grid with NumPy and SciPy: the peer's grid, operators, linear solver.

Written for the cross-check only and sharing nothing with the solver it checks. Unknown k = j * columns + i, row j = 0
at the surface z = 0, column i = 0 at the axis. Charge and heat use the same two-point flux with the conductances of
the two half cells in series.
"""

import numpy as np
from scipy.interpolate import RectBivariateSpline
from scipy.sparse import diags
from scipy.sparse.linalg import splu


def graded_faces(end, marks, fine, slope, coarse):
    """Faces on [0, end] of size min(coarse, fine + slope * distance to the nearest mark); every mark is a face [m]."""
    points = sorted({0.0, end, *marks})
    faces = [0.0]
    for low, high in zip(points, points[1:]):
        s = np.linspace(low, high, 20001)
        distance = np.min([np.abs(s - mark) for mark in marks], axis=0)
        density = 1 / np.minimum(coarse, fine + slope * distance)
        count = np.concatenate([[0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(s))])
        cells = max(1, int(np.ceil(count[-1])))
        faces.extend(np.interp(np.arange(1, cells + 1) * count[-1] / cells, count, s))
        faces[-1] = high
    return np.array(faces)


class Grid:
    """Geometry of the cylinder grid, electrode r < a on z = 0. Lengths [m], areas [m2], volumes [m3]."""

    def __init__(self, problem, fine, slope, coarse):
        a = problem["electrode_radius_m"]
        self.rf = graded_faces(problem["radius_m"], [a], fine, slope, coarse)
        self.zf = graded_faces(problem["depth_m"], [0.0], fine, slope, coarse)
        self.dr, self.dz = np.diff(self.rf), np.diff(self.zf)
        self.r, self.z = 0.5 * (self.rf[1:] + self.rf[:-1]), 0.5 * (self.zf[1:] + self.zf[:-1])
        self.columns, self.rows = len(self.r), len(self.z)
        self.shape = (self.rows, self.columns)
        ring = np.pi * np.diff(self.rf**2)
        self.volume = np.outer(self.dz, ring)
        # conductance of a half cell for unit conductivity: towards -r, +r, and -z or +z
        side = 2 * np.pi * np.outer(self.dz, self.rf)
        self.half_inner = side[:, :-1] / (0.5 * self.dr)
        self.half_outer = side[:, 1:] / (0.5 * self.dr)
        self.half_axial = np.outer(1 / (0.5 * self.dz), ring)
        self.under = self.r < a


class Operator:
    """-div(c grad u) as five diagonals; u given on the side and the bottom, and under the electrode if `contact`."""

    def __init__(self, grid, contact):
        self.grid, self.contact = grid, contact

    def update(self, c):
        """New coefficient c (rows, columns)."""
        g = self.grid
        inner, outer, axial = c * g.half_inner, c * g.half_outer, c * g.half_axial
        self.radial = outer[:, :-1] * inner[:, 1:] / (outer[:, :-1] + inner[:, 1:])
        self.axial = axial[:-1] * axial[1:] / (axial[:-1] + axial[1:])
        self.side, self.bottom = outer[:, -1], axial[-1]
        self.top = np.where(g.under, axial[0], 0.0) if self.contact else None
        self.parts = (inner, outer, axial)
        diagonal = np.zeros(g.shape)
        diagonal[:, :-1] += self.radial
        diagonal[:, 1:] += self.radial
        diagonal[:-1] += self.axial
        diagonal[1:] += self.axial
        diagonal[:, -1] += self.side
        diagonal[-1] += self.bottom
        if self.contact:
            diagonal[0] += self.top
        self.diagonal = diagonal
        self.coupling = np.zeros(g.shape)
        self.coupling[:, :-1] = -self.radial
        return self

    def matrix(self, shift=None, scale=1.0, free=None):
        """scale * operator + diag(shift), in diagonal storage; rows and columns outside `free` are the identity's."""
        g = self.grid
        main = scale * self.diagonal
        if shift is not None:
            main = main + shift
        radial, axial = scale * self.coupling, -scale * self.axial
        if free is not None:
            radial = radial.copy()
            radial[:, :-1] *= free[:, :-1] & free[:, 1:]
            axial = axial * (free[:-1] & free[1:])
            main = np.where(free, main, 1.0)
        e = radial.ravel()[:-1]
        return diags(
            [axial.ravel(), e, main.ravel(), e, axial.ravel()], [-g.columns, -1, 0, 1, g.columns], format="dia"
        )

    def apply(self, u, far):
        """-div(c grad u) integrated over each cell, u = far on side and bottom (no contact term)."""
        out = np.zeros(self.grid.shape)
        flow = self.radial * (u[:, :-1] - u[:, 1:])
        out[:, :-1] += flow
        out[:, 1:] -= flow
        flow = self.axial * (u[:-1] - u[1:])
        out[:-1] += flow
        out[1:] -= flow
        out[:, -1] += self.side * (u[:, -1] - far)
        out[-1] += self.bottom * (u[-1] - far)
        return out

    def dissipation(self, v, electrode):
        """Heat released in each cell [W]: every half face keeps its own I^2/G, so that the sum is the power exactly."""
        inner, outer, axial = self.parts
        heat = np.zeros(self.grid.shape)
        square = (self.radial * (v[:, :-1] - v[:, 1:])) ** 2
        heat[:, :-1] += square / outer[:, :-1]
        heat[:, 1:] += square / inner[:, 1:]
        square = (self.axial * (v[:-1] - v[1:])) ** 2
        heat[:-1] += square / axial[:-1]
        heat[1:] += square / axial[1:]
        heat[:, -1] += self.side * v[:, -1] ** 2
        heat[-1] += self.bottom * v[-1] ** 2
        heat[0] += self.top * (electrode - v[0]) ** 2
        return heat


class Solver:
    """Conjugate gradients preconditioned by an earlier factorisation, renewed when it takes over `patience` steps."""

    def __init__(self, tolerance, patience=9):
        self.tolerance, self.patience = tolerance, patience
        self.factor = None
        self.solves = self.iterations = self.factorisations = 0

    def factorise(self, matrix):
        self.factor = splu(
            matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        self.factorisations += 1

    def solve(self, matrix, b, guess):
        """Stops when the error estimated in the energy norm has fallen below tolerance * |solution| in that norm."""
        self.solves += 1
        fresh = self.factor is None
        if fresh:
            self.factorise(matrix)
        x = guess.copy()
        for attempt in range(2):
            r = b - matrix @ x
            z = self.factor.solve(r)
            p, rz = z, r @ z
            energy = abs(x @ b) + 1e-300
            for count in range(1, 200):
                if rz <= self.tolerance**2 * energy:
                    break
                w = matrix @ p
                alpha = rz / (p @ w)
                x += alpha * p
                r -= alpha * w
                z = self.factor.solve(r)
                rz, old = r @ z, rz
                p = z + (rz / old) * p
                self.iterations += 1
                if count > self.patience and not fresh:
                    break
            else:
                raise RuntimeError(f"conjugate gradients: no convergence, r.z = {rz}")
            if rz <= self.tolerance**2 * energy:
                return x
            self.factorise(matrix)
            fresh = True
        raise RuntimeError(f"conjugate gradients: no convergence after a new factorisation, r.z = {rz}")


def arrhenius(damage, celsius):
    """Rate A exp(-E/(R T)) [1/s], without the floor."""
    kelvin = np.asarray(celsius) + damage["kelvin"]
    return damage["frequency_1_s"] * np.exp(-damage["energy_J_mol"] / (damage["gas_constant"] * kelvin))


def damage_step(damage, before, after, dt):
    """Integral of the rate over a step on which the temperature runs linearly: logarithmic mean of the end rates over
    the part of the step that lies above the floor."""
    floor = damage["floor_C"]
    low, high = np.minimum(before, after), np.maximum(before, after)
    share = np.where(low >= floor, 1.0, np.where(high <= floor, 0.0, (high - floor) / np.maximum(high - low, 1e-12)))
    k0, k1 = arrhenius(damage, np.maximum(low, floor)), arrhenius(damage, np.maximum(high, floor))
    ratio = np.log(k1 / k0)
    mean = np.where(ratio > 1e-6, (k1 - k0) / np.where(ratio > 1e-6, ratio, 1.0), 0.5 * (k0 + k1))
    return dt * share * mean


def mirrored_spline(grid, field):
    """Bicubic interpolant, even about the axis and about the insulated surface."""
    n = 4
    r = np.concatenate([-grid.r[n - 1 :: -1], grid.r])
    z = np.concatenate([-grid.z[n - 1 :: -1], grid.z])
    f = np.concatenate([field[n - 1 :: -1], field])
    f = np.concatenate([f[:, n - 1 :: -1], f], axis=1)
    return RectBivariateSpline(z, r, f)


def depth_of(grid, omega, at=1.0):
    """(greatest depth over the columns, depth in the column nearest the axis) of Omega = at, log-linear in z [m]."""
    depths = np.zeros(grid.columns)
    logs = np.log(np.maximum(omega, 1e-30) / at)
    for i in range(grid.columns):
        above = np.nonzero(logs[:, i] >= 0)[0]
        if len(above) and above[-1] + 1 < grid.rows:
            j = above[-1]
            share = logs[j, i] / (logs[j, i] - logs[j + 1, i])
            depths[i] = grid.z[j] + share * (grid.z[j + 1] - grid.z[j])
    return depths.max(), depths[0]
