// Reading values: the pointer's tip, the probe of keyboard and touch, the line below the picture.
const READOUT_HELP = "Point at the section or touch it to read values; arrow keys move a probe.";

// The cell below a place of the window, or null outside the tissue.
function cell_at(run, event) {
  const place = place_at(run, event);
  if (place === null) return null;
  const find = (faces, value) =>
    faces.findIndex((face, k) => k + 1 < faces.length && face <= value && value < faces[k + 1]);
  const i = find(run.grid.r_face, Math.abs(place.x)),
    j = find(run.grid.z_face, place.z);
  return i < 0 || j < 0 ? null : { side: place.x < 0 ? -1 : 1, i, j };
}

// The probe after a step of the arrow keys; across, -1 is the first column of the left half. It stays in the picture.
function moved_probe(run, probe, across_by, down_by) {
  if (!probe) return { side: 1, i: 0, j: 0 };
  const inside = (faces, end) => faces.filter((face) => face < end).length - 1;
  const columns = inside(run.grid.r_face, run.view.reach) + 1,
    bottom = Math.min(inside(run.grid.z_face, run.view.bottom), run.grid.z.length - 1);
  const most = Math.min(columns, run.grid.r.length);
  const across = Math.min(Math.max((probe.side > 0 ? probe.i : -probe.i - 1) + across_by, -most), most - 1);
  return {
    side: across < 0 ? -1 : 1,
    i: across < 0 ? -across - 1 : across,
    j: Math.min(Math.max(probe.j + down_by, 0), bottom),
  };
}

function readout_controls(page) {
  const { run, view } = page,
    tip = element("tip");
  const hide = () => {
    tip.hidden = true;
  };

  function show_probe() {
    const { side, i, j } = view.probe;
    element("readout").textContent = cell_words(cell_values(run, view, side, i, j), " · ");
  }

  function point(event) {
    if (view.stage === "question" || event.target.closest(".handle")) return hide();
    const cell = cell_at(run, event);
    if (cell === null) return hide();
    // A finger covers what is beside it: the place gets the probe's mark, the values stand below the picture.
    if (event.pointerType !== "mouse" && event.pointerType !== "") {
      hide();
      view.probe = cell;
      page.redraw();
      return show_probe();
    }
    const values = cell_values(run, view, cell.side, cell.i, cell.j);
    tip.hidden = false;
    tip.textContent = cell_words(values, "\n");
    element("readout").textContent = cell_words(values, " · ");
    const frame = element("section-frame").getBoundingClientRect();
    const x = event.clientX - frame.left,
      y = event.clientY - frame.top;
    tip.style.left = `${x + 16 + tip.offsetWidth > frame.width ? Math.max(x - 16 - tip.offsetWidth, 0) : x + 16}px`;
    tip.style.top = `${y + 16 + tip.offsetHeight > frame.height ? Math.max(y - 16 - tip.offsetHeight, 0) : y + 16}px`;
  }

  element("section").addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 5 : 1;
    const move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (!move || view.stage === "question") return;
    event.preventDefault();
    view.probe = moved_probe(run, view.probe, ...move);
    page.redraw();
    show_probe();
  });
  element("section-frame").addEventListener("pointermove", point);
  element("section-frame").addEventListener("pointerdown", point);
  element("section-frame").addEventListener("pointerleave", hide);
  element("readout").textContent = READOUT_HELP;
  return () => view.probe && view.stage !== "question" && show_probe();
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
        ? "damage integral below 10⁻⁶"
        : values.omega >= 0.99e8
          ? "damage integral above 10⁸"
          : `damage integral ${significant(values.omega)}`,
    );
  if (values.heating !== null) parts.push(`${significant(values.heating)} W/cm³`);
  return parts.join(separator);
}
