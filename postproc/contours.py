"""Lines of an effect and smooth fields of one half of the cross-section.

Each half is worked by itself and its first cell is carried on to r = 0, where it meets its mirror image: so a line
comes to the axis level, and contouring both halves as one array would put a false line along the axis. The solver finds
a depth by a parabola between cell centres, damage as a logarithm; so do the lines here: at every column they pass
through the depth of the run file, and they meet the surface at its half-width.
"""

import contourpy
import numpy as np

LEAST_OMEGA = 1e-12  # smaller counts as this, as in the solver


def effect_field(run, name):
    """The dataset behind an effect: (name, as a logarithm, affected above the level rather than below)."""
    of = run.effects[name]["of"]
    if of.startswith("damage:"):
        return "omega_" + of.split(":", 1)[1], True, True
    return {"dry": ("water_fraction", False, False), "temperature": ("temperature_C", False, True),
            "peak_temperature": ("peak_temperature_C", False, True), "cem43": ("cem43_min", False, True)}[of]


def effect_lines(run, mode, name, frame, columns=None, rows=None):
    """Where an effect ends, as a list of (r, z) lines [m]; also where it hangs over or lies below the surface.

    From the field of the frame; where the run file does not hold it, the depth over r, which cannot show overhangs.
    `columns`, `rows`: only so many of the grid.
    """
    if effect_field(run, name)[0] not in mode.fields:
        effect = mode.effects[name]
        half_width = effect.half_width if frame == len(mode.time) - 1 else np.nan
        r, z = depth_curve(run.r, effect.depth[frame], half_width)
        return [(r, z)] if r.size else []
    found = excess_over(run, mode, name, frame)
    if found is None:
        return []
    columns, rows = columns or len(run.r), rows or len(run.z)
    r, z, shown = extended_to_axis(run.r[:columns], run.z[:rows], found[:rows, :columns])
    lines = contourpy.contour_generator(r, z, shown, name="serial", line_type=contourpy.LineType.Separate).lines(0.0)
    return [on_parabolas(run.r, run.z, found, line[:, 0], line[:, 1]) for line in lines]


def effect_regions(run, mode, name, frame, columns=None, rows=None):
    """What an effect has taken, as a list of closed (r, z) outlines [m]; a hole is one more, turning the other way.

    From the field of the frame; none where the run file does not hold it. Bounded by the lines of effect_lines(), the
    axis and the surface.
    """
    if effect_field(run, name)[0] not in mode.fields:
        return []
    found = excess_over(run, mode, name, frame)
    if found is None:
        return []
    columns, rows = columns or len(run.r), rows or len(run.z)
    r, z, shown = extended_to_axis(run.r[:columns], run.z[:rows], found[:rows, :columns])
    generator = contourpy.contour_generator(r, z, shown, name="serial", fill_type=contourpy.FillType.OuterOffset)
    outlines = []
    for points, offsets in zip(*generator.filled(0.0, np.inf)):
        for start, end in zip(offsets, offsets[1:]):
            x, y = points[start:end].T
            moved = on_parabolas(run.r, run.z, found, x, y)
            at_node = centre_at(run.r, x)[1] & centre_at(run.z, y)[1]  # of the grid's edge, on no line
            outlines.append((np.where(at_node, x, moved[0]), np.where(at_node, y, moved[1])))
    return outlines


def excess_over(run, mode, name, frame):
    """By how much every cell exceeds an effect's level (z, r), damage as a logarithm; None where nothing does."""
    key, logarithm, above = effect_field(run, name)
    if not (mode.effects[name].depth[frame] > 0).any():
        return None
    values = np.asarray(mode.fields[key][frame], float)
    level = float(run.effects[name]["at"])
    if logarithm:
        values, level = np.log(np.maximum(values, LEAST_OMEGA)), np.log(level)
    return values - level if above else level - values


def spared_lens(run, mode, name):
    """A place right under the electrode that has escaped an effect found beside or below it: (r, z) [m], or None.

    In the middle of the columns without the effect where there are any, else above it.
    """
    if effect_field(run, name)[0] not in mode.fields:
        return None
    excess = excess_over(run, mode, name, len(mode.time) - 1)
    under = run.r < 0.95 * run.electrode["radius_m"]
    if excess is None or max(np.atleast_1d(run.electrode["face_z_m"])) > 0 or not under.any():
        return None
    spared = under & (excess[0] < 0)
    reached = np.flatnonzero(excess.max(axis=0) >= 0)
    if not spared[0] or reached[-1] <= np.flatnonzero(spared)[-1]:
        return None
    spared[int(np.argmin(spared)) if not spared.all() else len(spared):] = False  # the stretch from the axis on
    free = spared & (excess.max(axis=0) < 0)
    column = int(np.searchsorted(run.r, run.r[free if free.any() else spared][-1] / 2))
    affected = np.flatnonzero(excess[:, column] >= 0)
    below = run.z[affected[0]] if affected.size else 0.1 * run.electrode["radius_m"]
    return float(run.r[column]), float(below / 2)


def on_parabolas(r, z, excess, line_r, line_z):
    """The points of a line, found linearly between two centres, moved to where the parabola is zero: (r, z)."""
    column, beside = centre_at(r, line_r)
    row, level = centre_at(z, line_z)
    return (np.where(level & ~beside, crossings(r, excess.T, row, line_r), line_r),
            np.where(beside, crossings(z, excess, column, line_z), line_z))


def centre_at(centres, places):
    """The nearest centre's index, and whether the place is its. What lies before the first centre is its."""
    after = np.clip(np.searchsorted(centres, places), 1, len(centres) - 1)
    index = after - (places - centres[after - 1] < centres[after] - places)
    return index, (np.abs(places - centres[index]) < 1e-12) | (places == 0)


def crossings(x, values, line, places):
    """Where values[:, line] is zero in the interval of `x` around each place.

    By the rule of solver/numerics/parabola.hpp; the place itself where there is no zero, as between the first centre
    and what continues it.
    """
    last = len(x) - 1
    k = np.clip(np.searchsorted(x, places) - 1, 0, last - 1)
    before, after = np.maximum(k - 1, 0), np.minimum(k + 2, last)
    first, end, length = values[k, line], values[k + 1, line], x[k + 1] - x[k]
    slope = (end - first) / length
    with np.errstate(divide="ignore", invalid="ignore"):
        left = ((first - values[before, line]) / (x[k] - x[before]) - slope) / (x[before] - x[k + 1])
        right = ((values[after, line] - end) / (x[after] - x[k + 1]) - slope) / (x[after] - x[k])
        left, right = np.where(before < k, left, np.inf), np.where(after > k + 1, right, np.inf)
        bend = np.where(np.abs(left) < np.abs(right), left, right)
        bend = np.where(np.isfinite(bend), bend, 0) * length**2
        sign = np.where(first < end, -1, 1)
        slope = sign * (end - first - bend)
        root = np.sqrt(np.maximum(0, slope**2 - 4 * bend * first))
        share = np.where(slope < 0, 2 * sign * first / (root - slope), (slope + root) / (-2 * sign * bend))
    return np.where((first < 0) != (end < 0), x[k] + length * np.minimum(1, share), places)


def depth_curve(r, depth, half_width=np.nan):
    """Points (r, z) of a depth of effect, from the axis outwards [m]; both empty where there is no effect.

    Columns without effect end the curve on the surface: at the reported half-width where that lies between the last
    column with effect and the next one without, else half-way between the two. An effect that begins away from the axis
    (a ring) begins likewise. Gaps inside are separated by NaN.
    """
    r, depth = np.asarray(r, float), np.asarray(depth, float)
    inside = depth > 0
    if not inside.any():
        return np.array([]), np.array([])
    out_r, out_z = [], []
    starts = np.flatnonzero(inside & ~np.concatenate([[False], inside[:-1]]))
    ends = np.flatnonzero(inside & ~np.concatenate([inside[1:], [False]]))
    for start, end in zip(starts, ends):
        if out_r:
            out_r.append(np.nan)
            out_z.append(np.nan)
        if start == 0:
            out_r.append(0.0)
            out_z.append(depth[0])
        else:
            out_r.append((r[start - 1] + r[start]) / 2)
            out_z.append(0.0)
        out_r.extend(r[start:end + 1])
        out_z.extend(depth[start:end + 1])
        if end + 1 < len(r):
            meets = r[end] <= half_width <= r[end + 1]
            out_r.append(half_width if meets else (r[end] + r[end + 1]) / 2)
            out_z.append(0.0)
    return np.array(out_r), np.array(out_z)


def deepest_point(r, depth):
    """Where the depth of effect is greatest: (r, z) [m]. On the axis when the first column is the deepest."""
    i = int(np.argmax(depth))
    return (0.0 if i == 0 else float(r[i])), float(depth[i])


def extended_to_axis(r, z, values):
    """Cell centres and values with the first column repeated at r = 0 and the first row at z = 0."""
    r = np.concatenate([[0.0], r])
    z = np.concatenate([[0.0], z])
    values = np.concatenate([values[:, :1], values], axis=1)
    values = np.concatenate([values[:1], values], axis=0)
    return r, z, values


def linear_weights(points, wanted):
    """Rows of bilinear interpolation in one direction: indices below and shares of the point above."""
    below = np.clip(np.searchsorted(points, wanted) - 1, 0, len(points) - 2)
    share = np.clip((wanted - points[below]) / (points[below + 1] - points[below]), 0, 1)
    return below, share


def smooth_image(r, z, values, reach, bottom, columns, rows):
    """The field on an even raster of 0..reach by 0..bottom (pixel centres), bilinear between cell centres."""
    r, z, values = extended_to_axis(r, z, values)
    wanted_r = (np.arange(columns) + 0.5) * reach / columns
    wanted_z = (np.arange(rows) + 0.5) * bottom / rows
    i, a = linear_weights(r, wanted_r)
    j, b = linear_weights(z, wanted_z)
    across = values[:, i] * (1 - a) + values[:, i + 1] * a
    return across[j] * (1 - b)[:, None] + across[j + 1] * b[:, None]
