// Words and tables that do not change with time.
function draw_numbers(run) {
  const depth_columns = run.effects.map((e) => [
    `depth of ${e.words}`,
    (d) => d.result[e.name].shown.depth + d.result[e.name].mark,
  ]);
  if (run.interval.computed) {
    const behind = run.effects.findIndex((e) => e.name === run.interval.effect) + 1;
    depth_columns.splice(behind, 0, [
      `its ${Math.round(100 * run.interval.share)} % range`,
      (d) => interval_of(run, d).shown.range,
    ]);
  }
  const columns = [
    ["crest factor", (d) => d.shown.crest_factor],
    ...depth_columns,
    ["half-width", (d) => d.result[run.cut.main].shown.half_width],
    ["volume", (d) => d.result[run.cut.main].shown.volume],
    ["load at the start", (d) => d.shown.resistance_start_ohm],
    ["load at the end", (d) => d.shown.resistance_end_ohm],
    ["delivered", (d) => d.shown.delivered_J],
    ["of it at the surface", (d) => d.shown.surface_J],
    ["arcing from", (d) => d.shown.arcing_s],
    ["dry-out at", (d) => d.shown.dry_out_s],
  ];
  const head = make("tr"),
    body = make("tbody"),
    top = make("thead");
  head.append(make("th", "mode", { scope: "col" }), ...columns.map(([name]) => make("th", name, { scope: "col" })));
  top.append(head);
  for (const d of run.modes) {
    const row = make("tr");
    row.append(make("th", d.label, { scope: "row" }), ...columns.map(([, value]) => make("td", value(d))));
    body.append(row);
  }
  const caption = make("caption", "Results of every mode", { class: "unseen" });
  element("numbers-note").textContent =
    `Greatest depths at the end of the run; half-width at the surface and volume are those of ` +
    `${run.effects.find((e) => e.name === run.cut.main).words}; ` +
    "the load is the resistance that the source sees while the current is on.";
  element("numbers").replaceChildren(caption, top, body);
  element("past-range").replaceChildren(...[...run.spared, ...run.past_range].map((text) => make("p", text)));
  element("interval").replaceChildren(...run.interval.sentences.map((text) => make("li", text)));
}

const interval_of = (run, mode) => run.interval.quantities.find((q) => q.name === `depth_mm.${mode.name}`);

function draw_words(run) {
  element("title").textContent = run.title;
  element("question").textContent = run.question;
  element("specimen").textContent = run.specimen;
  element("settings").replaceChildren(
    ...run.modes.map((d) =>
      make("li", `${d.label}: ${d.waveform_words}; ${d.source_words}; ${d.activation} s with current`),
    ),
  );
  element("case").textContent = run.case;
  element("cautions").replaceChildren(...run.cautions.map((text) => make("li", text)));
  element("origin").textContent =
    `dryfront ${run.version}, source ${run.revision.slice(0, 12)}; run file ${run.file}, ${run.started}`;
}

// Which reached deeper at the end of the run, for the two modes shown; as the program says it.
function sentence(run, view) {
  const [a, b] = view.modes;
  return run.pairs[run.effects[view.effect].name][a][b];
}

// Height of the cells at a depth: what a difference has to exceed to mean something. [mm]
function resolution_at(run, depth) {
  const faces = run.grid.z_face,
    row = faces.findIndex((z, k) => k + 1 < faces.length && z <= depth && depth < faces[k + 1]);
  return row < 0 ? faces.at(-1) - faces.at(-2) : faces[row + 1] - faces[row];
}
