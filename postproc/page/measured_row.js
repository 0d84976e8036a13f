// One measured section as a row of fields, and the round handles of the one that is being worked on.

function chosen_from(options, value, label) {
  const select = make("select", undefined, { "aria-label": label });
  options.forEach(({ name, words }) => select.append(make("option", words, { value: name })));
  select.value = value;
  return select;
}

// `number` tells its row from the others; `on`: changed, activate, draw (returns a fault or ""), drawing, remove.
// Returns the row and what brings it up to date.
function section_row(page, section, number, on) {
  const { run } = page;
  const row = make("fieldset", undefined, { class: "specimen" }),
    legend = make("legend"),
    fault = make("p", undefined, { class: "fault", role: "alert", id: `specimen-fault-${number}` });
  const field = (words, input) => {
    const label = make("label", `${words} `);
    label.append(input);
    row.append(label);
    return input;
  };
  const text = (words, value, attributes) => {
    const input = make("input", undefined, { type: "text", autocomplete: "off", ...attributes });
    input.value = value;
    return field(words, input);
  };
  row.append(legend);
  const specimen = text("specimen", section.specimen, { class: "short" });
  const mode = field(
    "mode",
    chosen_from(run.modes.map((m) => ({ name: m.name, words: m.label })), section.mode, "mode"),
  );
  const effect = field("effect", chosen_from(run.effects, section.effect, "effect"));
  specimen.addEventListener("input", () => {
    section.specimen = specimen.value.trim();
    on.changed();
  });
  mode.addEventListener("change", () => {
    section.mode = mode.value;
    on.changed();
  });
  effect.addEventListener("change", () => {
    section.effect = effect.value;
    on.changed();
  });
  const lengths = section_lengths(run).map(([key, column, words, most]) => {
    const attributes = { class: "short", inputmode: "decimal", "data-key": column },
      input = text(`${words} [mm]`, section[key].text, attributes);
    input.addEventListener("input", () => {
      section[key] = read_number(input.value, words, most);
      on.changed();
    });
    return { key, input };
  });
  const draw = make("button", "Draw outline", { type: "button" }),
    remove = make("button", "Remove", { type: "button" });
  let refused = "";
  draw.addEventListener("click", () => {
    refused = on.draw();
    refresh();
    refused = "";
    if (on.drawing()) element("section").focus();
  });
  remove.addEventListener("click", on.remove);
  row.append(draw, remove, fault);
  row.addEventListener("focusin", on.activate);

  function refresh() {
    legend.textContent = `specimen ${section.specimen}, ${run.modes.find((m) => m.name === section.mode).label}`;
    remove.setAttribute("aria-label", `Remove ${legend.textContent}`);
    lengths.forEach(({ key, input }) => {
      // What is being typed stays as it is.
      if (section[key].text !== input.value.trim()) input.value = section[key].text;
      show_fault(input, section[key].fault, fault.id);
    });
    const points = section.outline.reduce((sum, p) => sum + p.points.length, 0);
    draw.textContent = on.drawing() ? "End drawing" : points ? `Outline of ${points} points` : "Draw outline";
    draw.setAttribute("aria-pressed", String(on.drawing()));
    row.classList.toggle("active", page.view.active === section);
    const faults = [section.depth.fault, section.half_width.fault, section.specimen ? "" : "Give the specimen a name."];
    fault.textContent = [...faults, refused].filter(Boolean).join(" ");
  }
  refresh();
  return { row, refresh };
}

// Handles for depth and half-width of the active section. Returns what puts them in their places.
function measured_handles(page, changed) {
  const { run, view } = page;
  const side_of = (section) =>
    HALVES.map((h) => h.side).find((side) => run.modes[mode_of_half(view, side)].name === section.mode);
  const handles = section_lengths(run).map(([key, , words, most]) => {
    const set = (value) => {
      view.active[key] = entered_length(Math.min(Math.max(value, 0), most));
      changed();
    };
    const handle = make_handle(`Measured ${words}, mm`, {
      limit: most,
      move: (x, z) => set(key === "depth" ? z : side_of(view.active) * x),
      grows: () =>
        key === "depth"
          ? { ArrowDown: 1, ArrowUp: -1 }
          : { ArrowRight: side_of(view.active), ArrowLeft: -side_of(view.active) },
      value: () => view.active[key].value,
      set,
      step: MEASURED_STEP,
    });
    handle.id = `measured-handle-${key}`;
    return { key, words, handle };
  });
  return () =>
    handles.forEach(({ key, words, handle }) => {
      const section = view.active,
        side = section && side_of(section);
      handle.hidden =
        view.stage !== "answer" || !element("measured").open || !section || side === undefined || view.drawing !== null;
      if (handle.hidden) return;
      const entered = section[key];
      handle.classList.toggle("parked", entered.value === null);
      handle.setAttribute("aria-valuenow", entered.value ?? 0);
      handle.setAttribute("aria-valuetext", entered.value === null ? "not entered" : `${entered.text} mm`);
      const half = side < 0 ? "left" : "right";
      // Until something was entered nothing is called measured.
      const what = entered.value === null ? "Enter the" : "Measured";
      handle.setAttribute("aria-label", `${what} ${words}, ${half} half, mm`);
      // The depth's handle stands beside the axis; without a value both wait at the surface.
      if (key === "depth") place_handle(handle, 0, entered.value ?? 0, 24 * side);
      else place_handle(handle, side * (entered.value ?? 0.94 * run.view.reach), 0);
    });
}
