// What part of the specimen is drawn, and what the viewer entered drawn over what was computed.
const ENTERED = "#0a38a0"; // predicted and measured: lines of the viewer; the computed ones are black
const HALO = "rgba(255,255,255,0.9)";

// Before the answer a size that tells nothing; after it the size of the answer, or larger for what was entered. [mm]
function shown_frame(run, view) {
  if (view.stage !== "answer") return run.question_view;
  const deepest_entered = Math.max(0, ...predicted_depths(view), ...measured_extent(run, view).map((m) => m.z));
  const bottom = Math.min(Math.max(run.answer_view.bottom, 1.15 * deepest_entered), run.question_view.bottom);
  const widest_entered = Math.max(0, ...measured_extent(run, view).map((m) => m.r));
  return {
    ...run.answer_view,
    bottom: projected() ? Math.max(bottom, room_below(run)) : bottom,
    reach: Math.min(Math.max(run.answer_view.reach, 1.05 * widest_entered), run.question_view.reach),
  };
}

// A projected picture is as wide as its column: down to where it fills its height, too. [mm]
function room_below(run) {
  run.view = run.answer_view;
  const { margin, inner_width } = section_size(run);
  const height = ((section_room() - margin.t - margin.b) * 2 * run.view.reach) / inner_width;
  return Math.min(height - run.view.top, run.question_view.bottom);
}

// A line of the viewer with a light edge, to be seen on every colour of the tissue. Points [mm], across and down.
function entered_line(points, width, dash) {
  const path = `M${points.map(([x, z]) => `${x},${z}`).join("L")}`;
  return [
    { type: "path", path, line: { color: HALO, width: width + 4 } },
    { type: "path", path, line: { color: ENTERED, width, dash } },
  ];
}

function entered_point([x, z], run) {
  const size = 0.012 * run.view.reach;
  return {
    type: "circle",
    x0: x - size,
    x1: x + size,
    y0: z - size,
    y1: z + size,
    fillcolor: ENTERED,
    line: { color: HALO, width: 1.5 },
  };
}

// An untouched specimen in the colour of its start.
function empty_specimen(run) {
  const { reach, bottom } = run.view;
  return {
    type: "rect",
    x0: -reach,
    x1: reach,
    y0: 0,
    y1: bottom,
    line: { width: 0 },
    fillcolor: run.fields[0].colours[0],
    layer: "below",
  };
}

// Traces and layout of the section in the stage that the page is in.
function section_figure(run, view, size) {
  const asked = view.stage === "question";
  const seen = asked ? { ...view, sides: [], probe: null } : view;
  const layout = section_layout(run, seen, size);
  if (asked) layout.shapes = [empty_specimen(run), ...layout.shapes];
  if (asked && narrow()) {
    layout.height -= layout.margin.b - 30; // no colour bar
    layout.margin = { ...layout.margin, b: 30 };
  }
  if (projected()) [layout.xaxis, layout.yaxis].forEach(every_second_tick);
  layout.shapes.push(...prediction_shapes(run, view));
  layout.annotations.push(...prediction_annotations(run, view));
  // Without a trace the library draws no axes to scale.
  const traces = asked ? [{ type: "scatter", x: [], y: [], hoverinfo: "skip" }] : section_traces(run, seen);
  return { traces, layout };
}

function every_second_tick(axis) {
  axis.tickangle = 0;
  if (axis.tickvals.length <= 4) return;
  const zero = axis.tickvals.indexOf(0),
    kept = (_, k) => (k - zero) % 2 === 0;
  if (axis.ticktext) axis.ticktext = axis.ticktext.filter(kept);
  axis.tickvals = axis.tickvals.filter(kept);
}

// Where a place of the window lies in the specimen [mm], negative across in the left half; or null outside it.
function place_at(run, event) {
  const box = element("section").getBoundingClientRect(),
    layout = element("section")._fullLayout;
  const x = layout.xaxis.p2d(event.clientX - box.left - layout._size.l),
    z = layout.yaxis.p2d(event.clientY - box.top - layout._size.t);
  return Math.abs(x) > run.view.reach || z < 0 || z > run.view.bottom ? null : { x, z };
}

// A round handle on the picture, dragged or moved by arrow keys. `place` says where it stands [mm], `move(x, z)` takes
// a place, `keys` how far an arrow key moves the value.
function make_handle(words, { limit, move, grows, value, set, step }) {
  const handle = make("button", undefined, {
    class: "handle",
    type: "button",
    role: "slider",
    "aria-label": words,
    "aria-valuemin": 0,
    "aria-valuemax": limit,
  });
  handle.addEventListener("pointerdown", (down) => {
    handle.setPointerCapture(down.pointerId);
    const drag = (event) => {
      const box = element("section").getBoundingClientRect(),
        layout = element("section")._fullLayout;
      move(
        layout.xaxis.p2d(event.clientX - box.left - layout._size.l),
        layout.yaxis.p2d(event.clientY - box.top - layout._size.t),
      );
    };
    handle.addEventListener("pointermove", drag);
    handle.addEventListener("lostpointercapture", () => handle.removeEventListener("pointermove", drag), {
      once: true,
    });
  });
  handle.addEventListener("keydown", (event) => {
    const by = { PageUp: -10, PageDown: 10, ...grows() }[event.key];
    const to = event.key === "Home" ? 0 : event.key === "End" ? limit : by && (value() ?? 0) + by * step;
    if (to === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    set(to);
  });
  element("handles").append(handle);
  return handle;
}

function place_handle(handle, x, z, shift = 0) {
  const layout = element("section")._fullLayout,
    plot = element("section");
  handle.style.left = `${plot.offsetLeft + layout._size.l + layout.xaxis.d2p(x) + shift}px`;
  handle.style.top = `${plot.offsetTop + layout._size.t + layout.yaxis.d2p(z)}px`;
}
