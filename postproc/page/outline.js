// The outline of a measured section, point by point: open or closed lines in several parts.
const OUTLINE_DECIMALS = 2; // of a point that is clicked
const TAP_PX = 8; // a pointer that moved further did not tap

const entered_length = (value) => ({ text: value.toFixed(OUTLINE_DECIMALS), value, fault: "" });
const point_values = (part) => part.points.map(([r, z]) => [r.value, z.value]);
const same_point = (a, b) => a[0].text === b[0].text && a[1].text === b[1].text;
const is_closed = (part) => part.points.length > 2 && same_point(part.points[0], part.points.at(-1));

// `page`: run, view, redraw. `changed(section)` is called after every point.
function outline_drawing(page, changed) {
  const { run, view } = page;
  let section = null,
    pressed = null;

  const part = () => section.outline.at(-1);
  const sides = () =>
    HALVES.filter(({ side }) => run.modes[mode_of_half(view, side)].name === section.mode).map((h) => h.side);
  const say = (words) => {
    element("outline-words").textContent = words;
  };

  function describe_state() {
    const parts = section.outline.filter((p) => p.points.length),
      points = parts.reduce((sum, p) => sum + p.points.length, 0);
    const where = sides().length === 2 ? "either half" : `the ${sides()[0] < 0 ? "left" : "right"} half`;
    say(
      `Outline of specimen ${section.specimen}: click or touch ${where} point by point ` +
        `(by keyboard: arrow keys move the probe in the picture, Enter sets a point). ` +
        `${points} ${points === 1 ? "point" : "points"} in ${parts.length} ${parts.length === 1 ? "part" : "parts"}.`,
    );
  }

  function add(x, z) {
    const side = x < 0 ? -1 : 1;
    if (!sides().includes(side)) {
      return say(`That is the ${side < 0 ? "left" : "right"} half; specimen ${section.specimen} belongs to the other.`);
    }
    const point = [entered_length(Math.abs(x)), entered_length(z)];
    if (!part() || part().ended) section.outline.push({ name: free_name(), points: [] });
    part().points.push(point);
    update();
  }

  const free_name = () => {
    let k = section.outline.length + 1;
    while (section.outline.some((p) => p.name === String(k))) k++;
    return String(k);
  };

  function update() {
    changed(section);
    if (section) describe_state();
  }

  function end_part() {
    if (part()) part().ended = true;
    update();
  }

  function close_part() {
    if (!part() || part().points.length < 3) return say("A closed part needs at least three points.");
    if (!is_closed(part())) part().points.push(part().points[0]);
    end_part();
  }

  function undo() {
    if (!part()) return;
    part().points.pop();
    part().ended = false;
    if (!part().points.length) section.outline.pop();
    update();
  }

  function done() {
    if (!section) return;
    end_part();
    section = null;
    element("outline-tools").hidden = true;
    document.body.classList.remove("drawing");
    changed(null);
  }

  // A press and release at one place sets a point; the library may lay a cover over the picture in between.
  element("section-frame").addEventListener("pointerdown", (event) => {
    pressed = section && { x: event.clientX, y: event.clientY };
  });
  window.addEventListener("pointerup", (event) => {
    if (!pressed || Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > TAP_PX) return;
    pressed = null;
    const place = place_at(run, event);
    if (place) add(place.x, place.z);
    else say("That is outside the tissue.");
  });
  element("section").addEventListener("keydown", (event) => {
    if (!section) return;
    const todo = { Enter: at_probe, Backspace: undo, Escape: done, c: close_part, e: end_part }[event.key];
    if (!todo) return;
    event.preventDefault();
    event.stopPropagation();
    todo();
  });
  function at_probe() {
    if (!view.probe) return say("Move the probe first, by the arrow keys.");
    const { side, i, j } = view.probe;
    add(side * run.grid.r[i], run.grid.z[j]);
  }
  element("outline-end").addEventListener("click", end_part);
  element("outline-close").addEventListener("click", close_part);
  element("outline-undo").addEventListener("click", undo);
  element("outline-done").addEventListener("click", done);

  return {
    section: () => section,
    done,
    start(wanted) {
      done();
      section = wanted;
      if (!sides().length) {
        section = null;
        const { label } = run.modes.find((m) => m.name === wanted.mode);
        return `Its mode is not shown: choose “${label}” for a half first.`;
      }
      if (part()) part().ended = true;
      element("outline-tools").hidden = false;
      document.body.classList.add("drawing");
      describe_state();
      changed(section);
      return "";
    },
  };
}
