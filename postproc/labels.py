"""Where the labels of a half's lines stand, so that none can be read for another line.

A label stands below all lines of the half and is tied to its own by a leader. Places are in mm from the axis or plane
outwards and downwards, the same on both halves.
"""

from dataclasses import dataclass

import numpy as np

CLEAR = 0.25  # of a row's height, kept between a box and all that is not its own
MOST_TRIES = 20000


@dataclass
class Label:
    """A text with its size [mm] and the places where its leader may begin, the best first."""

    name: str
    text: str
    width: float
    height: float
    anchors: list


@dataclass
class Placed:
    """A label's box (x0, x1, z0, z1) and its leader from the line to the box: ((x, z), (x, z)) [mm]."""

    label: Label
    box: tuple
    leader: tuple


def anchors_on(lines, deepest, reach):
    """Where a leader may begin: on the lines [(x, z)] near their deepest point, clear of the axis first."""
    points = np.concatenate([np.stack(line, axis=1) for line in lines]) if lines else np.empty((0, 2))
    points = points[np.isfinite(points).all(axis=1)]
    if not len(points):
        return [deepest]
    near = points[points[:, 1] >= 0.85 * points[:, 1].max()]
    kept = near[np.linspace(0, len(near) - 1, min(len(near), 9)).astype(int)]
    cost = np.abs(kept[:, 0] - deepest[0]) + np.where(kept[:, 0] < 0.02 * reach, reach, 0)
    return [tuple(point) for point in kept[np.argsort(cost, kind="stable")]]


def place(labels, lowest, bottom, reach, taken=()):
    """A place for every label between the lowest line and the bottom, or as far up as all of them need.

    `taken`: boxes that stay free. The first arrangement found with no two boxes over each other, no leader through
    another's box and no two leaders across each other; where there is none, one row each.
    """
    if not labels:
        return []
    height = max(label.height for label in labels)
    first = min(lowest + 0.45*height, max(bottom - 1.3 * height * len(labels), 0))
    rows = [first + 1.3*height*k for k in range(max(int((bottom-first) / (1.3*height)), len(labels)))]
    options = [choices(label, rows, reach, taken) for label in labels]
    found = search(options, [], [MOST_TRIES])
    return found or [only(label, row, reach) for label, row in zip(labels, rows)]


def choices(label, rows, reach, taken):
    """All places of one label, the shortest leader first."""
    all_places = []
    for rank, (x, z) in enumerate(label.anchors):
        for row in rows:
            for start in (x - label.width/2, x + 0.2 * label.height, x - label.width - 0.2 * label.height,
                          0.02 * reach, 0.35 * reach, 0.65 * reach):
                start = min(max(start, 0.012 * reach), max(reach - label.width - 0.01*reach, 0.0))
                found = tied(label, (x, z), start, row)
                if not any(overlap(found.box, box) for box in taken):
                    all_places.append((rank * 0.3 * label.height + np.hypot(*np.subtract(*found.leader)), found))
    return [found for _, found in sorted(all_places, key=lambda entry: entry[0])]


def tied(label, anchor, start, row):
    box = (start, start + label.width, row, row + label.height)
    end = (min(max(anchor[0], box[0] + 0.1 * label.width), box[1] - 0.1 * label.width), row)
    return Placed(label, box, (anchor, end))


def only(label, row, reach):
    return tied(label, label.anchors[0], min(max(label.anchors[0][0], 0), max(reach - label.width, 0)), row)


def search(options, placed, tries):
    """Depth first with backtracking; None where nothing fits or the tries are used up."""
    if len(placed) == len(options):
        return placed
    for candidate in options[len(placed)]:
        tries[0] -= 1
        if tries[0] < 0:
            return None
        if all(apart(candidate, other) for other in placed):
            found = search(options, [*placed, candidate], tries)
            if found:
                return found
    return None


def apart(a, b):
    """Whether two placed labels cannot be taken for each other."""
    room = CLEAR * b.label.height
    grown = (a.box[0] - room, a.box[1] + room, a.box[2] - room, a.box[3] + room)
    return not (overlap(grown, b.box) or crosses(a.leader, b.box, CLEAR * b.label.height) or
                crosses(b.leader, a.box, CLEAR * a.label.height) or meet(a.leader, b.leader))


def overlap(a, b):
    return a[0] < b[1] and b[0] < a[1] and a[2] < b[3] and b[2] < a[3]


def crosses(segment, box, margin=0.0):
    """Whether a segment enters a box that is larger by a margin on each side."""
    (x0, z0), (x1, z1) = segment
    low, high = 0.0, 1.0
    for start, step, near, far in ((x0, x1 - x0, box[0] - margin, box[1] + margin),
                                   (z0, z1 - z0, box[2] - margin, box[3] + margin)):
        if step == 0:
            if not near < start < far:
                return False
            continue
        a, b = sorted(((near-start) / step, (far-start) / step))
        low, high = max(low, a), min(high, b)
    return low < high


def meet(a, b):
    """Whether two segments share a point, or run along each other."""
    def side(p, q, r):
        return np.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    def within(p, q, r):
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])

    (p, q), (r, s) = a, b
    sides = side(p, q, r), side(p, q, s), side(r, s, p), side(r, s, q)
    if sides[0] != sides[1] and sides[2] != sides[3]:
        return True
    touching = zip(sides, ((p, q, r), (p, q, s), (r, s, p), (r, s, q)))
    return any(turn == 0 and within(*points) for turn, points in touching)
