// The picture and the plots in words, made from the same numbers, for those who do not see them.
const SETTLED_MS = 700; // after the last change the words are spoken

function hottest_of(run, mode, frame) {
  const field = mode.fields.temperature_C;
  let hottest = -Infinity;
  for (let cell = 0; cell < field.size; cell++) hottest = Math.max(hottest, field.at(frame, cell));
  return hottest;
}

function half_words(run, view, { mode, side, frame, time }) {
  const depths = run.effects.map((effect) => {
    const { r, z } = deepest(run, mode, effect.name, frame);
    if (!(z > 0)) return `no ${effect.words}`;
    const where = r > 0 ? `${r.toFixed(1)} mm from the ${run.symmetry}` : `on the ${run.symmetry}`;
    return `${effect.words} to ${depth_words(run, mode, effect.name, frame, z)}, deepest ${where}`;
  });
  const power = value_at(mode.trace.power_W, time),
    load = value_at(mode.trace.resistance_ohm, time),
    arcing = value_at(mode.trace.arcing_share, time);
  const current =
    time > mode.activation
      ? "current off"
      : `${as_shown(run, "power", power)} into ${as_shown(run, "resistance", load)}` +
        (arcing > LEAST_ARCING ? `, ${(100 * arcing).toFixed(0)} % of the current through arcs` : "");
  return (
    `${side < 0 ? "Left" : "Right"} half, ${mode.label}: ${depths.join("; ")}; ` +
    `hottest ${hottest_of(run, mode, frame).toFixed(0)} °C; ${current}.`
  );
}

const section_words = (run, view) =>
  `At ${view.time.toFixed(2)} s. ${view.sides.map((half) => half_words(run, view, half)).join(" ")}`;

// A history by its start, least, greatest and end.
function history_words(run, key) {
  const lines = run.modes
    .filter((mode) => mode.trace[key])
    .map((mode) => {
      const { t, v } = mode.trace[key];
      const known = t.map((time, k) => [time, v[k]]).filter(([, value]) => value !== null);
      if (!known.length) return `${mode.label}: no values`;
      const least = known.reduce((a, b) => (b[1] < a[1] ? b : a)),
        greatest = known.reduce((a, b) => (b[1] > a[1] ? b : a)),
        at = ([time, value]) => `${significant(value)} at ${time.toFixed(1)} s`;
      if (least[1] === greatest[1]) return `${mode.label}: ${significant(least[1])} throughout`;
      return (
        `${mode.label}: ${significant(known[0][1])} at the start, least ${at(least)}, greatest ${at(greatest)}, ` +
        `last ${at(known.at(-1))}`
      );
    });
  return `${history_title(run, key)}. ${lines.join("; ")}.`;
}

function draw_history_words(run, view, plots) {
  element("history-words").replaceChildren(
    ...history_keys(run, view).map((key, k) => {
      const entry = make("li", history_words(run, key), { id: `history-words-${k}` });
      plots[k].plot.setAttribute("aria-describedby", entry.id);
      return entry;
    }),
  );
}

// Says the picture once nothing has moved for a while.
function make_speaker(run, view) {
  let waiting = null;
  return function speak() {
    const asked = view.stage === "question";
    const words = asked ? "An untouched specimen below the electrode." : section_words(run, view);
    element("section-words").textContent = words;
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      element("spoken-now").textContent = words;
    }, SETTLED_MS);
  };
}
