// Sections that a viewer cut and measured: several of each mode, typed, pasted, dragged or drawn, beside the computed.
const MEASURED_STEP = 0.05; // [mm] of a handle

// The depth that counts for a section: as entered, or the deepest point of its outline; null where there is neither.
function section_length(section, key) {
  if (section[key].value !== null) return section[key];
  if (key !== "depth") return null;
  const points = section.outline.flatMap((p) => p.points);
  return points.length ? points.map((p) => p[1]).reduce((a, b) => (b.value > a.value ? b : a)) : null;
}

const is_entered = (section) =>
  section.depth.value !== null || section.half_width.value !== null || section.outline.some((p) => p.points.length);

// How far what is drawn of the shown modes reaches [mm].
function measured_extent(run, view) {
  return shown_sections(run, view).flatMap(({ section }) => [
    { r: section.half_width.value ?? 0, z: section.depth.value ?? 0 },
    ...section.outline.flatMap((p) => point_values(p)).map(([r, z]) => ({ r, z })),
  ]);
}

function shown_sections(run, view) {
  if (view.stage !== "answer" || !element("measured").open) return [];
  return HALVES.flatMap(({ side }) =>
    view.sections
      .filter((s) => s.mode === run.modes[mode_of_half(view, side)].name && is_entered(s))
      .map((section) => ({ side, section })),
  );
}

// Its outline; without one half an ellipse through depth and half-width, or a mark at the one that is known.
function measured_shapes(run, view) {
  return shown_sections(run, view).flatMap(({ side, section }) => {
    const width = section === view.active ? 4 : 2;
    const line = (points, dash) => entered_line(points.map(([r, z]) => [side * r, z]), width, dash);
    const parts = section.outline.filter((p) => p.points.length).flatMap((p) => line(point_values(p), "solid"));
    const points = view.drawing === section ? section.outline.flatMap(point_values) : [];
    const dots = points.map(([r, z]) => entered_point([side * r, z], run));
    if (parts.length) return [...parts, ...dots];
    const depth = section.depth.value,
      half_width = section.half_width.value,
      tick = run.view.reach / 12;
    if (depth === null) {
      return line(
        [
          [half_width, 0],
          [half_width, tick],
        ],
        "solid",
      );
    }
    if (half_width === null) {
      return line(
        [
          [0, depth],
          [tick, depth],
        ],
        "solid",
      );
    }
    const ellipse = Array.from({ length: 61 }, (_, k) => (Math.PI / 2) * (k / 60));
    return line(
      ellipse.map((angle) => [half_width * Math.cos(angle), depth * Math.sin(angle)]),
      "8px,4px",
    );
  });
}

// Mean and spread of each mode and effect that has sections, beside what was computed for the end of the run.
function measured_groups(run, view) {
  return run.modes.flatMap((mode) =>
    run.effects.flatMap((effect) => {
      const entries = view.sections
        .filter((s) => s.mode === mode.name && s.effect === effect.name)
        .map((s) => section_length(s, "depth"))
        .filter(Boolean);
      if (!entries.length) return [];
      const computed = mode.result[effect.name],
        range = run.interval.computed && run.interval.effect === effect.name ? interval_of(run, mode) : undefined;
      return [{ mode, effect, computed, range, ...statistics(entries) }];
    }),
  );
}

function draw_measured_numbers(run, view) {
  const groups = measured_groups(run, view);
  element("measured-none").hidden = groups.length > 0 || view.sections.some(is_entered);
  element("measured-scroll").hidden = !groups.length;
  element("measured-words").textContent = "";
  if (!groups.length) return;
  const share = run.interval.computed ? `${Math.round(100 * run.interval.share)} % range` : "range";
  const head = ["mode", "effect", "sections", "measured, mean [mm]", "standard deviation [mm]", "computed [mm]"];
  head.push(`computed ${share} [mm]`, "computed less measured [mm]");
  const rows = groups.map((g) => {
    const more = g.computed.depth - g.mean;
    return [
      g.mode.label,
      g.effect.words,
      String(g.n),
      g.mean.toFixed(g.decimals),
      g.deviation === null ? "–" : g.deviation.toFixed(g.decimals),
      g.computed.shown.depth.replace(" mm", "") + g.computed.mark,
      g.range ? g.range.shown.range.replace(" mm", "") : "none computed",
      `${more < 0 ? "−" : "+"}${Math.abs(more).toFixed(g.decimals)}`,
    ];
  });
  fill_table(element("measured-numbers"), "Measured beside computed depths", head, rows);
  element("measured-words").textContent = groups.map((g, k) => group_words(g, rows[k])).join(" ");
}

function group_words(group, row) {
  const { mode, effect, n, computed, range } = group;
  const spread = group.deviation === null ? "" : `, standard deviation ${row[4]} mm`;
  const more = computed.depth - group.mean,
    share = group.mean > 0 ? ` (${more < 0 ? "−" : "+"}${Math.abs((100 * more) / group.mean).toFixed(0)} %)` : "";
  return (
    `${mode.label}: ${effect.words} measured on ${n} ${n === 1 ? "section" : "sections"}, ` +
    `mean ${row[3]} mm${spread}; ` +
    `computed ${computed.shown.depth}` +
    `${range ? `, range ${range.shown.range}` : ""}, ` +
    `${row[7].slice(1)} mm ${more < 0 ? "shallower" : "deeper"} than measured${share}.`
  );
}

// `page`: run, view, redraw.
function measured_controls(page) {
  const { run, view } = page;
  const rows = new Map(); // section: what refreshes and removes its row
  let made = 0;

  function changed() {
    draw_measured_numbers(run, view);
    rows.forEach(({ refresh }) => refresh());
    page.redraw();
  }

  const outline = outline_drawing(page, (section) => {
    view.drawing = section;
    changed();
  });

  function activate(section) {
    if (view.active === section) return;
    view.active = section;
    changed();
  }

  function add(section) {
    view.sections.push(section);
    const remove = () => {
      if (outline.section() === section) outline.done();
      view.sections.splice(view.sections.indexOf(section), 1);
      if (view.active === section) view.active = null;
      row.remove();
      rows.delete(section);
      changed();
    };
    const { row, refresh } = section_row(page, section, made++, {
      changed,
      activate: () => activate(section),
      draw: () => (outline.section() === section ? (outline.done(), "") : outline.start(section)),
      drawing: () => outline.section() === section,
      remove,
    });
    rows.set(section, { refresh, remove });
    element("measured-rows").append(row);
    return row;
  }

  const free_number = (mode) => {
    let k = 1;
    while (view.sections.some((s) => s.mode === mode && s.specimen === String(k))) k++;
    return String(k);
  };
  const add_empty = (side) => {
    const mode = run.modes[mode_of_half(view, side)].name;
    const section = new_section(mode, free_number(mode), run.effects[view.effect].name);
    const row = add(section);
    activate(section);
    return row;
  };
  HALVES.forEach(({ side, name }) =>
    element(`measured-add-${name}`).addEventListener("click", () => add_empty(side).querySelector("input").focus()),
  );
  element("measured").addEventListener("toggle", () => {
    if (element("measured").open && !view.sections.length) HALVES.forEach(({ side }) => add_empty(side));
    changed();
  });

  function read(text, from) {
    const { sections, unread, fault } = read_sections(run, text);
    const say = (words) => {
      element("measured-message").textContent = words;
    };
    if (fault) return say(`${from}: nothing was read. ${fault}`);
    const same = (a) => sections.some((b) => ["mode", "specimen", "effect"].every((key) => a[key] === b[key]));
    const old = view.sections.filter((s) => same(s) || !is_entered(s)),
      replaced = old.filter(is_entered).length;
    old.forEach((s) => rows.get(s).remove());
    sections.forEach(add);
    view.active = sections[0];
    changed();
    say(
      `${from}: ${sections.length} ${sections.length === 1 ? "section" : "sections"} read` +
        `${replaced ? `, ${replaced} of them in place of what was there` : ""}` +
        `${unread.length ? `; not read: column ${unread.join(", ")}` : ""}.`,
    );
  }
  element("measured-format").textContent =
    `Header: ${MEASURED_COLUMNS.join(", ")}. One line for a section's depth and half-width, one for each point ` +
    "of its outline; a part that ends where it began is closed. Commas between the fields, or semicolons or tabs, " +
    "which allow a decimal comma.";
  element("measured-read").addEventListener("click", () => read(element("measured-text").value, "The lines"));
  element("measured-file").addEventListener("change", async (event) => {
    const [file] = event.target.files;
    if (file) read(await file.text(), file.name);
    event.target.value = ""; // the same file can be opened again
  });
  element("measured-save").addEventListener("click", () => {
    const entered = view.sections.filter(is_entered);
    element("measured-message").textContent = entered.length ? "" : "Nothing to save: no section has been entered.";
    if (entered.length) save_text(`${run.file.replace(/\.h5$/, "")}_sections.csv`, write_sections(entered));
  });
  draw_measured_numbers(run, view);
  return { place: measured_handles(page, changed), stop_drawing: outline.done };
}

function save_text(name, text) {
  const link = make("a", undefined, {
    download: name,
    href: URL.createObjectURL(new Blob([text], { type: "text/csv" })),
  });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}
