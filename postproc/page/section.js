// The cross-section: two halves back to back, each filled and contoured by itself.
const effect_dashes = ["solid", "dash", "dot", "dashdot", "longdash", "longdashdot"];

function frame_at(mode, time) {
  let best = 0;
  mode.time.forEach((t, k) => {
    if (Math.abs(t - time) < Math.abs(mode.time[best] - time)) best = k;
  });
  return best;
}

// A stored value turned into what the field's label says: damage as the coagulated share in percent, heating in W/cm3.
function shown_value(key, stored) {
  if (key === "omega") return -100 * Math.expm1(-(10 ** stored));
  return key === "heating_W_m3" ? stored - 6 : stored; // heating stays a logarithm, its colour bar has powers of ten
}

// Rows of the field from the surface down; columns from the axis or plane outwards, on the left half turned round.
function field_rows(run, mode, key, frame, side) {
  const columns = run.grid.r.length,
    rows = [];
  const field = mode.fields[key];
  for (let j = 0; j < run.grid.z.length; j++) {
    const row = new Array(columns);
    for (let i = 0; i < columns; i++) {
      row[side > 0 ? i : columns - 1 - i] = shown_value(key, field.at(frame, j * columns + i));
    }
    rows.push(row);
  }
  return rows;
}

// The lines or outlines packed for a frame, each a list of [r, z]. [mm]
function unpacked_lines(packed, frame) {
  const found = [];
  let line = 0,
    point = 0;
  for (let f = 0; f < frame; f++) {
    for (let k = 0; k < packed.lines[f]; k++) point += packed.lengths[line++];
  }
  for (let k = 0; k < packed.lines[frame]; k++) {
    const points = [];
    for (let n = packed.lengths[line++]; n > 0; n--, point++) {
      points.push([1e-3 * packed.at(0, point), 1e-3 * packed.at(1, point)]);
    }
    found.push(points);
  }
  return found;
}

// Lists of points as one curve on a half, with gaps between them.
function as_curve(lists, side) {
  const points = lists.flatMap((list) => [...list.map(([r, z]) => [side * r, z]), [null, null]]);
  return { x: points.map(([x]) => x), y: points.map(([, y]) => y) };
}

const effect_line = (mode, effect, frame, side) => as_curve(unpacked_lines(mode.lines[effect], frame), side);

// What an effect has taken, filled. An outline that turns the other way is a hole of the one before it: drawn in one
// stroke with it, it stays empty.
function region_traces(mode, effect, frame, side, look) {
  const turn = (list) => list.reduce((sum, [r, z], k) => sum + (r * list.at(k - 1)[1] - list.at(k - 1)[0] * z), 0);
  const wholes = [];
  for (const list of unpacked_lines(mode.regions[effect], frame)) {
    const whole = wholes.at(-1);
    if (whole && turn(list) * whole.turn < 0) whole.points.push(...list, whole.points[0]);
    else wholes.push({ turn: turn(list), points: [...list] });
  }
  return wholes.map(({ points }) => ({
    type: "scatter",
    mode: "lines",
    line: { width: 0 },
    hoverinfo: "skip",
    fill: "toself",
    ...as_curve([points], side),
    ...look,
  }));
}

// Fine strokes over what has coagulated, or the colours of a cut specimen.
function taken_traces(run, mode, frame, side, field) {
  if (field.key === "cut") {
    return run.cut.effects.flatMap(({ name, colour }) =>
      region_traces(mode, name, frame, side, { fillcolor: colour, name: `cut ${name} ${mode.name}` }),
    );
  }
  const dark_field = field.key === "temperature_C" || field.key === "omega";
  return region_traces(mode, run.cut.main, frame, side, {
    name: `strokes ${mode.name}`,
    fillcolor: "rgba(0,0,0,0)",
    fillpattern: {
      shape: "/",
      size: 0.5 * base_size(),
      solidity: 0.12,
      bgcolor: "rgba(0,0,0,0)",
      fgcolor: dark_field ? "#ffffff" : "#1c1b1a",
      fgopacity: 0.6,
      fillmode: "overlay",
    },
  });
}

// A depth in the picture: at the end of the run as the program shows it, before with the digits that the cell bears.
function depth_words(run, mode, effect, frame, depth) {
  const result = mode.result[effect];
  if (frame === mode.time.length - 1) return result.shown.depth + result.mark;
  const row = Math.max(run.grid.z_face.findIndex((z, k) => k > 0 && depth < z) - 1, 0);
  return `${depth.toFixed(run.grid.decimals[row])} mm`;
}

function deepest(run, mode, effect, frame) {
  const depth = mode.depth[effect];
  let best = 0;
  for (let i = 1; i < run.grid.r.length; i++) if (depth.at(frame, i) > depth.at(frame, best)) best = i;
  const last_frame = frame === mode.time.length - 1;
  const greatest = depth.at(frame, best);
  return { r: best === 0 ? 0 : run.grid.r[best], z: last_frame && greatest > 0 ? mode.result[effect].depth : greatest };
}

function section_traces(run, view) {
  const field = run.fields[view.field];
  const traces = [];
  view.sides.forEach(({ mode, side, frame }) => {
    const edges = side > 0 ? run.grid.r_face : run.grid.r_face.map((v) => -v).reverse();
    const logarithm = field.logarithmic;
    const filled = taken_traces(run, mode, frame, side, field);
    if (field.key === "cut") traces.push(...filled);
    else traces.push({
      type: "heatmap",
      x: edges,
      y: run.grid.z_face,
      z: field_rows(run, mode, field.key, frame, side),
      name: mode.name,
      zmin: logarithm ? Math.log10(field.low) : field.low,
      zmax: logarithm ? Math.log10(field.high) : field.high,
      zsmooth: "best",
      hoverinfo: "none",
      colorscale: field.colours.map((c, k) => [k / (field.colours.length - 1), c]),
      showscale: side > 0,
      colorbar: colour_bar(field),
    });
    if (field.key !== "cut") traces.push(...filled);
    if (view.isolines && field.isolines.length) traces.push(...isolines(run, mode, field, frame, side));
    if (!view.effects) return;
    run.effects.forEach((effect, k) => {
      const curve = effect_line(mode, effect.name, frame, side);
      const common = { type: "scatter", mode: "lines", hoverinfo: "skip", ...curve };
      traces.push({ ...common, line: { color: "rgba(255,255,255,0.8)", width: 5.5 } });
      traces.push({
        ...common,
        name: `${effect.name} ${mode.name}`,
        line: { color: "#1c1b1a", width: 2.6, dash: effect_dashes[k % 6] },
      });
    });
  });
  return traces;
}

function isolines(run, mode, field, frame, side) {
  const values = field_rows(run, mode, field.key, frame, side);
  const extended = values.map((row) => (side > 0 ? [row[0], ...row] : [...row, row[row.length - 1]]));
  const r = side > 0 ? [0, ...run.grid.r] : [...run.grid.r.map((v) => -v).reverse(), 0];
  return field.isolines.map((level) => ({
    type: "contour",
    x: r,
    y: [0, ...run.grid.z],
    z: [extended[0], ...extended],
    showscale: false,
    hoverinfo: "skip",
    autocontour: false,
    line: { color: "#5c5955", width: 1.2, smoothing: 0 },
    contours: {
      type: "levels",
      start: level,
      end: level,
      size: 1,
      coloring: "none",
      showlabels: true,
      labelformat: "",
      labelfont: { size: 0.85 * base_size(), color: "#3d3a37" },
    },
    colorscale: [
      [0, "#5c5955"],
      [1, "#5c5955"],
    ],
  }));
}

// The round number at or above a length: 1, 2 or 5 times a power of ten.
function round_step(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((k) => k * power).find((step) => step >= least * (1 - 1e-9));
}

function colour_bar(field) {
  const bar = narrow()
    ? {
        orientation: "h",
        title: { text: field.label, side: "bottom" },
        thickness: 12,
        outlinewidth: 0,
        y: 0,
        yanchor: "top",
        yref: "paper",
        ypad: 26,
        len: 0.95,
      }
    : {
        title: { text: field.label, side: "right" },
        thickness: base_size(),
        outlinewidth: 0,
        x: 1.035,
        xanchor: "left",
        len: 1,
        ypad: 0,
      };
  if (field.logarithmic) {
    const low = Math.ceil(Math.log10(field.low)),
      high = Math.floor(Math.log10(field.high));
    bar.tickvals = Array.from({ length: high - low + 1 }, (_, k) => low + k);
    bar.ticktext = bar.tickvals.map((power) => significant(10 ** power));
  } else {
    const step = round_step((field.high - field.low) / 5),
      first = Math.ceil(field.low / step);
    const count = Math.floor(field.high / step + 1e-9) - first + 1;
    bar.tickvals = Array.from({ length: count }, (_, k) => (first + k) * step);
    bar.ticktext = bar.tickvals.map((value) => String(Number(value.toPrecision(6))));
  }
  // The end of the scale stands for all that lies beyond it.
  if (field.beyond) bar.ticktext[bar.ticktext.length - 1] += narrow() ? "+" : "<br>and above";
  return bar;
}

// The electrode's outlines in mm, its contact face as a heavy line.
function electrode_shapes(run) {
  const path = (points, end) => `M${points.map(([x, z]) => `${x},${z}`).join("L")}${end}`;
  const edge = "#3d4147";
  return [
    ...run.electrode.metal.map((outline) => ({
      type: "path",
      path: path(outline, "Z"),
      fillcolor: "#c9ccd1",
      line: { color: edge, width: 1.5 },
    })),
    ...run.electrode.face.map((line) => ({ type: "path", path: path(line, ""), line: { color: edge, width: 4 } })),
  ];
}

function section_size(run) {
  const em = base_size();
  const margin = narrow()
    ? { l: 26, r: 12, t: 6, b: 80 }
    : projected()
      ? { l: 2.8 * em, r: 6.2 * em, t: 8, b: 3.4 * em }
      : { l: 3.8 * em, r: 7.6 * em, t: 8, b: 3.9 * em };
  const width = section_width();
  const shape = (run.view.bottom + run.view.top) / (2 * run.view.reach);
  const room = section_room() - margin.t - margin.b;
  const inner = Math.min(width - margin.l - margin.r, room / shape);
  return {
    margin,
    inner_width: inner,
    inner_height: inner * shape,
    width: inner + margin.l + margin.r,
    height: inner * shape + margin.t + margin.b,
  };
}

function value_at(history, time) {
  if (!history || !history.t.length) return NaN;
  let k = history.t.findIndex((t) => t >= time);
  if (k < 0) k = history.t.length - 1;
  if (k === 0) return history.v[0] ?? NaN;
  const [a, b] = [history.v[k - 1], history.v[k]];
  if (a === null || b === null) return NaN;
  const share = (time - history.t[k - 1]) / (history.t[k] - history.t[k - 1] || 1);
  return a + Math.min(share, 1) * (b - a);
}

function section_layout(run, view, size) {
  const { reach, bottom, top } = run.view;
  const step = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].find((length) => reach <= 6 * length);
  const ticks = [];
  for (let k = -Math.floor(reach / step); k <= reach / step; k++) ticks.push(k * step);
  const named = (x) => String(Number(Math.abs(x).toPrecision(6)));
  const labels = view.sides.flatMap((half) => section_labels(run, view, size, half));
  return {
    ...layout_look(),
    width: size.width,
    height: size.height,
    margin: size.margin,
    xaxis: {
      ...axis_look(),
      showgrid: false,
      range: [-reach, reach],
      tickvals: ticks,
      ticktext: ticks.map(named),
      title: { text: narrow() ? "" : `distance from the ${run.symmetry} [mm]`, standoff: 0.6 * base_size() },
    },
    yaxis: {
      ...axis_look(),
      showgrid: false,
      range: [bottom, -top],
      showline: false,
      tickvals: ticks.filter((x) => x >= 0 && x <= bottom),
      ticktext: ticks.filter((x) => x >= 0 && x <= bottom).map(named),
      title: { text: narrow() ? "" : "depth [mm]", standoff: 4 },
    },
    shapes: [
      ...cut_shapes(run, view),
      ...leader_shapes(labels, run),
      ...electrode_shapes(run),
      ...measured_shapes(run, view),
      ...probe_shapes(run, view),
      { type: "line", x0: -reach, x1: reach, y0: 0, y1: 0, line: { color: "#5c5955", width: 1 }, layer: "below" },
      { type: "line", x0: 0, x1: 0, y0: 0, y1: bottom, line: { color: "#1c1b1a", width: 1, dash: "dashdot" } },
    ],
    annotations: [...label_notes(labels, run, view), ...source_notes(run, view, size), ...cut_notes(run, view)],
  };
}

// Where the probe of the keyboard stands: the cell's outline.
function probe_shapes(run, view) {
  if (!view.probe) return [];
  const { i, j, side } = view.probe,
    g = run.grid;
  return [
    {
      type: "rect",
      x0: side * g.r_face[i],
      x1: side * g.r_face[i + 1],
      y0: g.z_face[j],
      y1: g.z_face[j + 1],
      line: { color: "#1c1b1a", width: 2 },
      fillcolor: "rgba(255,255,255,0.6)",
    },
  ];
}
