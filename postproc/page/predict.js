// The question before the answer: a depth is predicted for each half, the run plays, then both are compared.
const PREDICTION_STEP = 0.1; // [mm]
const HALVES = [
  { side: -1, name: "left" },
  { side: 1, name: "right" },
];

const mode_of_half = (view, side) => view.modes[side < 0 ? 0 : 1];
const prediction_of = (view, side) => view.predictions.get(mode_of_half(view, side));
const predicted_depths = (view) => [...view.predictions.values()].map((p) => p.value).filter((v) => v !== null);
const shown_predictions = (view) =>
  HALVES.map(({ side }) => ({ side, ...prediction_of(view, side) })).filter((p) => typeof p.value === "number");

const prediction_end = (run) => Math.min(1.15 * run.electrode.radius, run.view.reach);

function prediction_shapes(run, view) {
  return shown_predictions(view).flatMap(({ side, value }) =>
    entered_line(
      [
        [0, value],
        [side * prediction_end(run), value],
      ],
      3.5,
      "3px,4px",
    ),
  );
}

// The words stand at the end of the line that is farther from where the effect is deepest and named.
function prediction_annotations(run, view) {
  const effect = run.effects[view.predicted_effect].name;
  const outer = ({ mode, frame }) =>
    view.stage === "question" || deepest(run, mode, effect, frame).r < prediction_end(run) / 2;
  return shown_predictions(view).map(({ side, value, text }) => {
    const half = view.sides.find((s) => s.side === side),
      ends = outer(half),
      near_surface = value < 0.25 * run.view.bottom,
      // The computed depth is named below its line.
      below = near_surface || (view.stage === "answer" && value > half.mode.result[effect].depth);
    return {
      x: ends ? side * prediction_end(run) : 0,
      y: value,
      text: `<b>${terse() ? "" : "predicted "}${plain(text)} mm</b>`,
      showarrow: false,
      xanchor: (side > 0) === ends ? "right" : "left",
      xshift: ends ? 0 : 4 * side,
      yanchor: below ? "top" : "bottom",
      yshift: below ? -4 : 4,
      bgcolor: HALO,
      borderpad: 1,
      font: { color: ENTERED },
    };
  });
}

// Form and handles. `page` is what controls.js hands round: run, view, redraw, set_stage.
function predict_controls(page) {
  const { run, view } = page,
    most = run.question_view.bottom;
  const effect = run.effects[view.predicted_effect].words;
  const parts = HALVES.map(({ side, name }) => {
    const label = make("label"),
      words = make("span"),
      settings = make("small"),
      input = make("input", undefined, {
        type: "text",
        inputmode: "decimal",
        autocomplete: "off",
        id: `predict-${name}`,
      });
    const field = make("span");
    field.append(input, document.createTextNode(" mm"));
    label.append(words, field, settings);
    element("predict-inputs").append(label);
    const enter = (text) => {
      view.predictions.set(mode_of_half(view, side), read_number(text, `depth of ${effect}`, most));
      update();
      page.redraw();
    };
    input.addEventListener("input", () => enter(input.value));
    const set = (value) => enter(Math.min(Math.max(value, 0), most).toFixed(decimals_of(String(PREDICTION_STEP))));
    const handle = make_handle(`Predicted depth, ${name} half, mm`, {
      limit: most,
      move: (_, z) => set(z),
      grows: () => ({ ArrowDown: 1, ArrowUp: -1 }),
      value: () => prediction_of(view, side)?.value,
      set,
      step: PREDICTION_STEP,
    });
    handle.id = `predict-handle-${name}`;
    return { side, name, words, settings, input, handle };
  });

  function update() {
    const asked = view.stage === "question";
    element("predict-heading").textContent = asked ? "Before it runs: how deep?" : "It runs. You predict:";
    const last = run.modes[view.modes[0]].time.at(-1);
    element("predict-words").textContent =
      `To what depth will ${effect} have reached after ${significant(last)} s? Type a depth for each half, or drag ` +
      `its round handle down (0: none; at most ${most}\u00a0mm).`;
    parts.forEach(({ side, name, words, settings, input }) => {
      const mode = run.modes[mode_of_half(view, side)],
        entered = prediction_of(view, side);
      words.textContent = `${name} half, ${mode.label}: `;
      settings.textContent = `${mode.waveform_words}; ${mode.source_words}; ${mode.activation} s with current`;
      if (document.activeElement !== input || entered?.text !== input.value.trim()) input.value = entered?.text ?? "";
      show_fault(input, entered?.fault ?? "", "predict-fault");
    });
    element("predict-fault").textContent = [...new Set(parts.map((p) => prediction_of(view, p.side)?.fault ?? ""))]
      .filter(Boolean)
      .join(" ");
    element("predicted-words").replaceChildren(
      ...shown_predictions(view).map((p) =>
        make("li", `${run.modes[mode_of_half(view, p.side)].label}: ${p.text} mm`),
      ),
    );
  }

  element("predict-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const open = parts.find(({ side }) => typeof prediction_of(view, side)?.value !== "number");
    if (!open) return page.run_it();
    if (!prediction_of(view, open.side)?.fault)
      element("predict-fault").textContent = `A depth for the ${open.name} half is missing: give it first.`;
    open.input.focus();
  });
  element("to-the-end").addEventListener("click", () => page.to_the_end());
  element("predict-again").addEventListener("click", () => {
    view.modes.forEach((index) => view.predictions.delete(index));
    ask_again(page.set_stage);
    parts[0].input.focus();
  });

  return {
    update,
    place() {
      parts.forEach(({ side, handle }) => {
        handle.hidden = view.stage !== "question";
        if (handle.hidden) return;
        const entered = prediction_of(view, side);
        place_handle(handle, (side * run.electrode.radius) / 2, entered?.value ?? 0);
        handle.classList.toggle("parked", typeof entered?.value !== "number");
        handle.setAttribute("aria-valuenow", entered?.value ?? 0);
        handle.setAttribute("aria-valuetext", entered?.value ? `${entered.text} mm` : "not yet predicted");
      });
    },
  };
}

// How far each prediction is from what was computed, and whether the order was foreseen.
function verdict_sentences(run, view) {
  const effect = run.effects[view.predicted_effect];
  const found = [...new Set(view.modes)]
    .map((index) => ({ mode: run.modes[index], entered: view.predictions.get(index) }))
    .filter(({ entered }) => typeof entered?.value === "number")
    .map(({ mode, entered }) => ({ mode, entered, computed: mode.result[effect.name].depth }));
  const sentences = found.map(({ mode, entered, computed }) => {
    const more = entered.value - computed,
      whole = `“${mode.label}”: predicted ${entered.text} mm, computed ` +
        `${mode.result[effect.name].shown.depth}${mode.result[effect.name].mark}`;
    if (Math.abs(more) < resolution_at(run, computed)) return `${whole}: as predicted, within the cells there.`;
    const share = computed > 0 ? ` (${Math.round((100 * Math.abs(more)) / computed)}\u00a0%)` : "";
    return `${whole}: ${millimetres(Math.abs(more))} too ${more > 0 ? "deep" : "shallow"}${share}.`;
  });
  return found.length < 2 ? sentences : [...sentences, order_words(run, ...found)];
}

function order_words(run, a, b) {
  const order = (x, y, least) => (Math.abs(x - y) < least ? 0 : Math.sign(x - y));
  const foreseen = order(a.entered.value, b.entered.value, 1e-9),
    came = order(a.computed, b.computed, resolution_at(run, Math.max(a.computed, b.computed)));
  const deeper = (sign) => (sign > 0 ? a : b).mode.label;
  const expected = foreseen === 0 ? "You expected both alike" : `You expected “${deeper(foreseen)}” to be the deeper`;
  if (came === foreseen) return `${expected}, and so it is.`;
  if (came === 0) return `${expected}; there is no difference that counts.`;
  return foreseen === 0 ? `${expected}; “${deeper(came)}” is deeper.` : `${expected}; it is the other way round.`;
}

function draw_verdict(run, view) {
  const sentences = view.stage === "answer" ? verdict_sentences(run, view) : [];
  element("verdict").hidden = sentences.length === 0;
  element("verdict-words").replaceChildren(...sentences.map((text) => make("li", text)));
}
