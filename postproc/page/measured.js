// A section that a viewer measured: depth and half-width of each half, typed in or dragged, drawn as half an ellipse.
const measured = [
  { side: -1, depth: null, half_width: null },
  { side: 1, depth: null, half_width: null },
];
const MEASURED_STEP = 0.05; // [mm]

function measured_shapes(run, view) {
  if (!element("measured").open) return [];
  return measured
    .filter((m) => m.depth > 0 && m.half_width > 0)
    .map((m) => {
      const points = Array.from({ length: 61 }, (_, k) => {
        const angle = ((Math.PI / 2) * k) / 60;
        return `${m.side * m.half_width * Math.cos(angle)},${m.depth * Math.sin(angle)}`;
      });
      return { type: "path", path: `M${points.join("L")}`, line: { color: "#00a0a8", width: 4, dash: "8px,4px" } };
    });
}

function measured_controls(run, view, redraw) {
  const place = element("measured-inputs");
  measured.forEach((m, k) => {
    const box = make("fieldset");
    box.append(make("legend", k === 0 ? "left half" : "right half"));
    for (const [key, words, most] of [
      ["depth", "depth", run.view.bottom],
      ["half_width", "half-width", run.view.reach],
    ]) {
      const label = make("label", `${words} [mm] `);
      const input = make("input", undefined, {
        type: "number",
        min: 0,
        max: most.toFixed(2),
        step: MEASURED_STEP,
        inputmode: "decimal",
        id: `measured-${k === 0 ? "left" : "right"}-${key}`,
      });
      input.addEventListener("input", () => {
        const value = Number.parseFloat(input.value);
        m[key] = Number.isFinite(value) && value > 0 ? Math.min(value, most) : null;
        redraw();
      });
      label.append(input);
      box.append(label);
      m[`${key}_input`] = input;
      const handle = make("button", undefined, {
        class: "handle",
        role: "slider",
        "aria-label": `Measured ${words} of the ${k === 0 ? "left" : "right"} half, mm`,
        "aria-valuemin": 0,
        "aria-valuemax": most.toFixed(2),
      });
      const set = (value) => {
        m[key] = Math.min(Math.max(value, MEASURED_STEP), most);
        input.value = m[key].toFixed(2);
        redraw();
      };
      handle.addEventListener("pointerdown", (down) => {
        handle.setPointerCapture(down.pointerId);
        const drag = (move) => {
          const frame = element("section").getBoundingClientRect(),
            layout = element("section")._fullLayout;
          set(
            key === "depth"
              ? layout.yaxis.p2d(move.clientY - frame.top - layout._size.t)
              : m.side * layout.xaxis.p2d(move.clientX - frame.left - layout._size.l),
          );
        };
        handle.addEventListener("pointermove", drag);
        handle.addEventListener("lostpointercapture", () => handle.removeEventListener("pointermove", drag), {
          once: true,
        });
      });
      handle.addEventListener("keydown", (event) => {
        const grows = {
          ArrowDown: key === "depth" ? 1 : -1,
          ArrowUp: key === "depth" ? -1 : 1,
          ArrowRight: m.side,
          ArrowLeft: -m.side,
        }[event.key];
        if (grows === undefined) return;
        event.preventDefault();
        event.stopPropagation();
        set(m[key] + grows * MEASURED_STEP);
      });
      m[`${key}_handle`] = handle;
      element("handles").append(handle);
    }
    place.append(box);
  });
  element("measured").addEventListener("toggle", () => {
    measured.forEach((m) => {
      // A start to drag from: what was computed.
      const { mode, frame } = view.sides.find((s) => s.side === m.side);
      const effect = run.effects[view.effect].name;
      const depth = deepest(run, mode, effect, frame).z;
      m.depth ??= depth > 0 ? Math.round(depth * 20) / 20 : run.view.bottom / 2;
      m.half_width ??= Math.min(
        Math.round((mode.result[effect].half_width || run.electrode.radius) * 20) / 20,
        run.view.reach,
      );
      m.depth_input.value = m.depth.toFixed(2);
      m.half_width_input.value = m.half_width.toFixed(2);
    });
    redraw();
  });
}

// Puts the handles where the curve meets the axis and the surface, and says how far it is from what was computed.
function place_handles(run, view) {
  const layout = element("section")._fullLayout,
    open = element("measured").open;
  const left = element("section").offsetLeft + layout._size.l,
    top = element("section").offsetTop + layout._size.t;
  const words = [];
  measured.forEach((m) => {
    for (const key of ["depth", "half_width"]) {
      const handle = m[`${key}_handle`];
      handle.hidden = !(open && m.depth > 0 && m.half_width > 0);
      if (handle.hidden) continue;
      // Both depths end on the axis: the handles stand a little to their own side, where they can be told apart.
      const across = key === "depth" ? layout.xaxis.d2p(0) + 14 * m.side : layout.xaxis.d2p(m.side * m.half_width);
      handle.style.left = `${left + across}px`;
      handle.style.top = `${top + layout.yaxis.d2p(key === "depth" ? m.depth : 0)}px`;
      handle.setAttribute("aria-valuenow", m[key].toFixed(2));
    }
    if (!open || !(m.depth > 0)) return;
    const { mode, frame } = view.sides.find((s) => s.side === m.side),
      effect = run.effects[view.effect];
    const depth = deepest(run, mode, effect.name, frame).z,
      more = depth - m.depth;
    const half = m.side < 0 ? "left" : "right",
      way = more >= 0 ? "deeper" : "shallower",
      sign = more >= 0 ? "+" : "−";
    words.push(
      `${half} (${mode.label}): measured ${millimetres(m.depth)}, ` +
        `computed ${effect.words} ${millimetres(depth)}, ${Math.abs(more).toFixed(2)} mm ${way} than measured ` +
        `(${sign}${Math.abs((100 * more) / m.depth).toFixed(0)} %)`,
    );
  });
  element("measured-words").textContent = words.join("; ");
}
