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

// The lines of an effect, on the left half turned round, with gaps between them. [mm]
function effect_line(mode, effect, frame, side) {
  const packed = mode.lines[effect],
    x = [],
    y = [];
  let line = 0,
    point = 0;
  for (let f = 0; f < frame; f++) {
    for (let k = 0; k < packed.lines[f]; k++) point += packed.lengths[line++];
  }
  for (let k = 0; k < packed.lines[frame]; k++) {
    for (let n = packed.lengths[line++]; n > 0; n--, point++) {
      x.push(side * 1e-3 * packed.at(0, point));
      y.push(1e-3 * packed.at(1, point));
    }
    x.push(null);
    y.push(null);
  }
  return { x, y };
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
    traces.push({
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
  }
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

// Depths beside the axis, one below the other; what the source gives, in the electrode.
function section_annotations(run, view, size) {
  const notes = [],
    line = (1.35 * base_size() * (run.view.bottom + run.view.top)) / size.inner_height;
  view.sides.forEach(({ mode, side, frame, time }) => {
    let lowest = -Infinity;
    const found = run.effects
      .map((e) => ({ name: e.name, words: e.words, ...deepest(run, mode, e.name, frame) }))
      .filter((e) => e.z > 0);
    found.sort((a, b) => a.z - b.z);
    found.forEach((effect) => {
      if (!view.effects || (terse() && effect.name !== run.effects[view.effect].name)) return;
      const near = effect.r < run.view.reach / 4;
      let y = Math.max(effect.z, lowest);
      // Clear of the lines of the deeper effects.
      if (!terse())
        found.forEach((other) => {
          if (other.z > effect.z && other.z > y && other.z < y + line) y = other.z;
        });
      y += 0.1 * line;
      const words = terse() ? millimetres(effect.z) : `${plain(effect.words)} ${millimetres(effect.z)}`;
      notes.push({
        x: side * effect.r,
        y,
        text: `<b>${words}</b>`,
        showarrow: false,
        yanchor: "top",
        xanchor: !near ? "center" : side > 0 ? "left" : "right",
        xshift: near ? 4 * side : 0,
        bgcolor: "rgba(255,255,255,0.78)",
        borderpad: 1,
        font: { color: "#1c1b1a" },
      });
      lowest = y + line;
    });
    const at = (key) => value_at(mode.trace[key], time);
    const sparks = at("arcing_share") > 0.01 ? `, arcing ${(100 * at("arcing_share")).toFixed(0)} %` : "";
    const words =
      time > mode.activation
        ? "off"
        : `${significant(at("power_W"))} W, ${significant(at("resistance_ohm"))} Ω${sparks}`;
    const small = narrow();
    notes.push({
      x: (side * Math.min(run.electrode.radius, run.view.reach)) / 2,
      y: -run.electrode.gap - 0.46 * run.view.top,
      text: terse() ? words.split(",")[0] : words,
      showarrow: false,
      font: { color: "#1c1b1a", size: base_size() * (small ? 0.85 : 0.95) },
    });
  });
  return notes;
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
  const step = reach > 12 ? 5 : 2;
  const ticks = [];
  for (let x = -Math.floor(reach / step) * step; x <= reach; x += step) ticks.push(x);
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
      ticktext: ticks.map((x) => String(Math.abs(x))),
      title: { text: narrow() ? "" : `distance from the ${run.symmetry} [mm]`, standoff: 0.6 * base_size() },
    },
    yaxis: {
      ...axis_look(),
      showgrid: false,
      range: [bottom, -top],
      dtick: bottom < 10 ? 1 : 2,
      tick0: 0,
      showline: false,
      tickformat: "~g",
      tickvals: Array.from(
        { length: Math.floor(bottom / (bottom < 10 ? 1 : 2)) + 1 },
        (_, k) => k * (bottom < 10 ? 1 : 2),
      ),
      title: { text: narrow() ? "" : "depth [mm]", standoff: 4 },
    },
    shapes: [
      ...electrode_shapes(run),
      ...measured_shapes(run, view),
      ...probe_shapes(run, view),
      { type: "line", x0: -reach, x1: reach, y0: 0, y1: 0, line: { color: "#5c5955", width: 1 }, layer: "below" },
      { type: "line", x0: 0, x1: 0, y0: 0, y1: bottom, line: { color: "#1c1b1a", width: 1, dash: "dashdot" } },
    ],
    annotations: section_annotations(run, view, size),
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

// The values of a cell, as the file has them.
function cell_values(run, view, side, i, j) {
  const { mode, frame } = view.sides.find((s) => s.side === side);
  const cell = j * run.grid.r.length + i;
  const of = (key) => (mode.fields[key] ? mode.fields[key].at(frame, cell) : null);
  const omega = of("omega"),
    heating = of("heating_W_m3");
  return {
    mode: mode.label,
    symmetry: run.symmetry,
    r: run.grid.r[i],
    z: run.grid.z[j],
    temperature: of("temperature_C"),
    water: of("water_fraction"),
    omega: omega === null ? null : 10 ** omega,
    heating: heating === null ? null : heating <= mode.fields.heating_W_m3.low ? 0 : 10 ** (heating - 6),
  };
}

function cell_words(values, separator) {
  const place = `${values.r.toFixed(2)} mm from the ${values.symmetry}, ${values.z.toFixed(2)} mm deep`;
  const parts = [`${values.mode}: ${place}`];
  if (values.temperature !== null) parts.push(`${values.temperature.toFixed(1)} °C`);
  if (values.water !== null) parts.push(`water left ${(100 * values.water).toFixed(1)} %`);
  if (values.omega !== null)
    parts.push(
      values.omega <= 1.01e-6
        ? "Ω below 10⁻⁶"
        : values.omega >= 0.99e8
          ? "Ω above 10⁸"
          : `Ω ${significant(values.omega)}`,
    );
  if (values.heating !== null) parts.push(`${significant(values.heating)} W/cm³`);
  return parts.join(separator);
}
