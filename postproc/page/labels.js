// Where the labels of a half's lines stand, so that none can be read for another line: as postproc/labels.py has it.
const LABEL_CLEAR = 0.25; // of a row's height, kept between a box and all that is not its own
const LABEL_TRIES = 5000;

const boxes_overlap = (a, b) => a[0] < b[1] && b[0] < a[1] && a[2] < b[3] && b[2] < a[3];

function segment_crosses([[x0, z0], [x1, z1]], box, margin) {
  let low = 0,
    high = 1;
  for (const [start, step, near, far] of [
    [x0, x1 - x0, box[0] - margin, box[1] + margin],
    [z0, z1 - z0, box[2] - margin, box[3] + margin],
  ]) {
    if (step === 0) {
      if (!(near < start && start < far)) return false;
      continue;
    }
    const ends = [(near - start) / step, (far - start) / step];
    low = Math.max(low, Math.min(...ends));
    high = Math.min(high, Math.max(...ends));
  }
  return low < high;
}

function segments_meet([p, q], [r, s]) {
  const side = (a, b, c) => Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
  const within = (a, b, c) => [0, 1].every((k) => Math.min(a[k], b[k]) <= c[k] && c[k] <= Math.max(a[k], b[k]));
  const turns = [
    [p, q, r],
    [p, q, s],
    [r, s, p],
    [r, s, q],
  ];
  const sides = turns.map((points) => side(...points));
  if (sides[0] !== sides[1] && sides[2] !== sides[3]) return true;
  return turns.some((points, k) => sides[k] === 0 && within(...points));
}

function labels_apart(a, b) {
  const room = LABEL_CLEAR * b.height;
  const grown = [a.box[0] - room, a.box[1] + room, a.box[2] - room, a.box[3] + room];
  return !(
    boxes_overlap(grown, b.box) ||
    segment_crosses(a.leader, b.box, room) ||
    segment_crosses(b.leader, a.box, room) ||
    segments_meet(a.leader, b.leader)
  );
}

// A label's box [x0, x1, z0, z1] and its leader from the line to the box, for a text that begins at `start`.
function tied(label, anchor, start, row) {
  const end = Math.min(Math.max(anchor[0], start + 0.1 * label.width), start + 0.9 * label.width);
  return { ...label, box: [start, start + label.width, row, row + label.height], leader: [anchor, [end, row]] };
}

function label_choices(label, rows, reach) {
  const all = [];
  label.anchors.forEach((anchor, rank) => {
    for (const row of rows) {
      const x = anchor[0],
        gap = 0.2 * label.height;
      for (const wanted of [x - label.width / 2, x + gap, x - label.width - gap, 0.02 * reach, 0.35 * reach]) {
        const start = Math.min(Math.max(wanted, 0.012 * reach), Math.max(0.99 * reach - label.width, 0));
        const found = tied(label, anchor, start, row);
        const [[x0, z0], [x1, z1]] = found.leader;
        all.push([rank * 0.3 * label.height + Math.hypot(x1 - x0, z1 - z0), found]);
      }
    }
  });
  return all.sort((a, b) => a[0] - b[0]).map(([, found]) => found);
}

// Labels {name, text, width, height, anchors} placed below the lowest line [mm]: {..., box, leader}.
function place_labels(labels, lowest, bottom, reach) {
  if (!labels.length) return [];
  const pitch = 1.3 * Math.max(...labels.map((l) => l.height));
  const first = Math.min(lowest + 0.35 * pitch, Math.max(bottom - pitch * labels.length, 0));
  const count = Math.max(Math.floor((bottom - first) / pitch), labels.length);
  const rows = Array.from({ length: count }, (_, k) => first + k * pitch);
  const options = labels.map((label) => label_choices(label, rows, reach));
  let tries = LABEL_TRIES;
  const search = (placed) => {
    if (placed.length === options.length) return placed;
    for (const candidate of options[placed.length]) {
      if (--tries < 0) return null;
      if (!placed.every((other) => labels_apart(candidate, other))) continue;
      const found = search([...placed, candidate]);
      if (found) return found;
    }
    return null;
  };
  return search([]) ?? labels.map((label, k) => tied(label, label.anchors[0], 0.012 * reach, rows[k]));
}
