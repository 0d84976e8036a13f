// Words and tables that do not change with time.
function draw_numbers(run) {
  const event = (value) => (value === null || value === undefined ? "never" : `${value.toFixed(2)} s`);
  const depth_columns = run.effects.map((e) => [
    `${e.words} [mm]`,
    (d) => (d.result[e.name].depth > 0 ? d.result[e.name].depth.toFixed(2) : "none") + d.result[e.name].mark,
  ]);
  if (run.interval.computed) {
    const behind = run.effects.findIndex((e) => e.name === run.interval.effect) + 1;
    depth_columns.splice(behind, 0, [
      `its ${Math.round(100 * run.interval.share)} % range [mm]`,
      (d) => range_words(interval_of(run, d)),
    ]);
  }
  const columns = [
    ["crest factor", (d) => d.crest_factor.toFixed(2)],
    ...depth_columns,
    ["half-width [mm]", (d) => d.result[run.effects[0].name].half_width?.toFixed(2) ?? "–"],
    ["volume [mm³]", (d) => significant(d.result[run.effects[0].name].volume)],
    ["start [Ω]", (d) => significant(d.summary.resistance_start_ohm)],
    ["end [Ω]", (d) => significant(d.summary.resistance_end_ohm)],
    ["delivered [J]", (d) => significant(d.summary.delivered_J)],
    ["of it at the surface [J]", (d) => significant(d.summary.surface_J)],
    ["arcing from", (d) => event(d.summary.arcing_s)],
    ["dry-out at", (d) => event(d.summary.dry_out_s)],
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
    `${run.effects[0].words}; ` +
    "start and end are the load resistance while the current is on.";
  element("numbers").replaceChildren(caption, top, body);
  element("past-range").replaceChildren(...run.past_range.map((text) => make("p", text)));
  element("interval").replaceChildren(...run.interval.sentences.map((text) => make("li", text)));
}

const interval_of = (run, mode) => run.interval.quantities.find((q) => q.name === `depth_mm.${mode.name}`);

function range_words(quantity) {
  return [quantity.low.value, quantity.high.value]
    .map((value) => (value === null ? "without end" : value.toFixed(2)))
    .join(" – ");
}

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

// Height of the cells at a depth: what a difference has to exceed to mean something. [mm]
function resolution_at(run, depth) {
  const faces = run.grid.z_face,
    row = faces.findIndex((z, k) => k + 1 < faces.length && z <= depth && depth < faces[k + 1]);
  return row < 0 ? faces.at(-1) - faces.at(-2) : faces[row + 1] - faces[row];
}

// Which reached deeper at the end of the run, for the two modes shown; as describe.py has it.
function sentence(run, view) {
  const { name: effect, words } = run.effects[view.effect];
  const [a, b] = view.sides.map((s) => ({ name: s.mode.label, depth: s.mode.result[effect].depth }));
  if (a.name === b.name) return `“${a.name}” reached ${words} to ${millimetres(a.depth)}.`;
  const [more, less] = a.depth >= b.depth ? [a, b] : [b, a];
  if (more.depth === 0) return `Neither mode reached ${words}.`;
  const resolution = resolution_at(run, more.depth);
  if (more.depth - less.depth < resolution) {
    return (
      `No difference that counts: ${words} to ${millimetres(more.depth)} with “${more.name}” and ` +
      `${millimetres(less.depth)} with “${less.name}”, closer together than the ${millimetres(resolution)} cells there.`
    );
  }
  const ratio = less.depth > 0 ? `, ${(more.depth / less.depth).toFixed(2)} times as deep` : "";
  return (
    `“${more.name}” reached deeper: ${words} to ${millimetres(more.depth)} against ` +
    `${millimetres(less.depth)} for “${less.name}” ` +
    `(${(more.depth - less.depth).toFixed(2)} mm more${ratio}).`
  );
}
