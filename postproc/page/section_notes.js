// What is written into the section: labels on their leaders, the source, the colours of a cut specimen.
// What is named in the picture, below all lines, each tied to its own line: {placed, dashes}.
function section_labels(run, view, size, { mode, side, frame }) {
  const mm_per_pixel = (2 * run.view.reach) / size.inner_width,
    font = base_size(),
    only_main = terse();
  const found = run.effects
    .map((e, k) => ({ ...e, dash: effect_dashes[k % 6], ...deepest(run, mode, e.name, frame) }))
    .filter((e) => e.z > 0 && view.effects && (!only_main || e.name === run.effects[view.effect].name));
  const lowest = Math.max(0, ...found.map((e) => e.z));
  const labels = found
    .sort((a, b) => b.z - a.z)
    .map((e) => {
      const depth = depth_words(run, mode, e.name, frame, e.z);
      const points = unpacked_lines(mode.lines[e.name], frame).flat();
      return {
        name: e.name,
        dash: e.dash,
        bold: true,
        text: only_main ? depth : `${e.words} ${depth}`,
        anchors: leader_anchors(points, [e.r, e.z], run.view.reach),
      };
    });
  if (mode.spared && frame === mode.time.length - 1 && view.effects && !only_main) {
    const main = run.effects.find((e) => e.name === run.cut.main);
    labels.push({
      name: "spared",
      dash: "solid",
      bold: false,
      text: `not reached by ${main.words}`,
      anchors: [mode.spared],
    });
  }
  const pen = document.createElement("canvas").getContext("2d");
  for (const label of labels) {
    pen.font = `${label.bold ? "bold " : ""}${font}px ${layout_look().font.family}`;
    label.width = (pen.measureText(label.text).width + 8) * mm_per_pixel;
    label.height = 1.3 * font * mm_per_pixel;
  }
  return place_labels(labels, lowest, run.view.bottom, run.view.reach).map((label) => ({ ...label, side, mode }));
}

// Where a leader may begin: on the line near its deepest point, clear of the axis first.
function leader_anchors(points, deepest_point, reach) {
  if (!points.length) return [deepest_point];
  const lowest = Math.max(...points.map(([, z]) => z));
  const near = points.filter(([, z]) => z >= 0.85 * lowest);
  const count = Math.min(near.length, 9);
  const pitch = (near.length - 1) / Math.max(count - 1, 1);
  const kept = Array.from({ length: count }, (_, k) => near[Math.floor(k * pitch)]);
  const cost = ([r]) => Math.abs(r - deepest_point[0]) + (r < 0.02 * reach ? reach : 0);
  return kept.sort((a, b) => cost(a) - cost(b));
}

// The leaders in their lines' own dashes, each with a dot where it touches its line.
function leader_shapes(labels, run) {
  const dot = 0.006 * run.view.reach;
  return labels.flatMap(({ side, leader: [[x0, z0], [x1, z1]], dash, name, mode }) => {
    const line = { type: "line", x0: side * x0, y0: z0, x1: side * x1, y1: z1 };
    return [
      { ...line, line: { color: "rgba(255,255,255,0.8)", width: 4 } },
      { ...line, name: `leader ${name} ${mode.name}`, line: { color: "#1c1b1a", width: 1.6, dash } },
      {
        type: "circle",
        x0: side * x0 - dot,
        x1: side * x0 + dot,
        y0: z0 - dot,
        y1: z0 + dot,
        fillcolor: "#1c1b1a",
        line: { width: 0 },
      },
    ];
  });
}

function label_notes(labels, run, view) {
  const cut = run.fields[view.field].key === "cut";
  return labels.map(({ side, box, text, bold, name, mode }) => ({
    x: (side * (box[0] + box[1])) / 2,
    y: (box[2] + box[3]) / 2,
    name: `label ${name} ${mode.name}`,
    text: bold ? `<b>${plain(text)}</b>` : plain(text),
    showarrow: false,
    bgcolor: cut ? run.cut.paper : "rgba(255,255,255,0.78)",
    borderpad: 1,
    font: { color: "#1c1b1a" },
  }));
}

// What the source gives, in the electrode.
function source_notes(run, view, size) {
  return view.sides.map(({ mode, side, time }) => {
    const at = (key) => value_at(mode.trace[key], time);
    const sparks = at("arcing_share") > 0.01 ? `, arcing ${(100 * at("arcing_share")).toFixed(0)} %` : "";
    const load = `${as_shown(run, "power", at("power_W"))}, ${as_shown(run, "resistance", at("resistance_ohm"))}`;
    const words = time > mode.activation ? "current off" : load + sparks;
    const text = terse() ? words.split(",")[0] : words;
    // Beside an electrode that is too small to be written in.
    const letters = 0.6 * base_size() * text.length * ((2 * run.view.reach) / size.inner_width);
    const inside = letters < run.electrode.radius;
    return {
      x: inside ? (side * run.electrode.radius) / 2 : side * (run.electrode.radius + 0.17 * run.view.reach),
      xanchor: inside ? "center" : side > 0 ? "left" : "right",
      y: -run.electrode.gap - 0.46 * run.view.top,
      text,
      showarrow: false,
      font: { color: "#1c1b1a", size: base_size() * (narrow() ? 0.85 : 0.95) },
    };
  });
}

// What the colours of the cut specimen stand for, and that they are chosen: where the colour bar stands otherwise.
function cut_notes(run, view) {
  if (run.fields[view.field].key !== "cut") return [];
  const entries = [...run.cut.layers, ...run.cut.effects].map(({ colour, words }) => ({ colour, words }));
  const font = { size: 0.75 * base_size(), color: style_value("--ink") };
  const beside = { showarrow: false, xref: "paper", yref: "paper", align: "left", font };
  const square = ({ colour, words }) =>
    `<span style="color:${colour}">■</span> ${wrapped_words(words, narrow() ? 40 : 11)}`;
  if (narrow()) {
    const text = `${entries.map(square).join(" ")}<br>${wrapped_words(run.cut.mark, 50)}`;
    return [{ ...beside, x: 0, xanchor: "left", y: 0, yanchor: "top", yshift: -22, text }];
  }
  const text = `${entries.map(square).join("<br>")}<br><br><i>${wrapped_words(run.cut.mark, 13)}</i>`;
  return [{ ...beside, x: 1, xanchor: "left", xshift: 2.1 * base_size(), y: 1, yanchor: "top", text }];
}

function wrapped_words(text, letters) {
  const lines = [""];
  for (const word of text.split(" ")) {
    if (lines.at(-1) && lines.at(-1).length + word.length >= letters) lines.push(word);
    else lines[lines.length - 1] = `${lines.at(-1)} ${word}`.trim();
  }
  return lines.map(plain).join("<br>");
}

// The fresh tissue of the cut specimen, layer by layer.
function cut_shapes(run, view) {
  if (run.fields[view.field].key !== "cut") return [];
  return run.cut.layers.map(({ top, bottom, colour }) => ({
    type: "rect",
    x0: -run.view.reach,
    x1: run.view.reach,
    y0: top,
    y1: bottom,
    fillcolor: colour,
    line: { width: 0 },
    layer: "below",
  }));
}
