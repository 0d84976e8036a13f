// Numbers that a viewer types: comma or point as decimal sign, in the picture, or a sentence that says what is wrong.
const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;

// { text, value, fault }: the text as it was typed; value null where there is none; fault a sentence or "".
function read_number(typed, words, most) {
  const text = typed.trim();
  if (text === "") return { text, value: null, fault: "" };
  if (!NUMBER.test(text)) {
    return {
      text,
      value: null,
      fault: `“${text}” is no number for the ${words}: give millimetres with a point or a comma, such as 7.0 or 7,0.`,
    };
  }
  const value = Number(text.replace(",", "."));
  if (value < 0 || value > most) {
    return { text, value: null, fault: `“${text}” is outside the picture: the ${words} goes from 0 to ${most} mm.` };
  }
  return { text, value, fault: "" };
}

const decimals_of = (text) => (text.split(/[.,]/)[1] ?? "").length;

// Marks a field as wrong or right for those who see it and those who hear it.
function show_fault(input, fault, words_id) {
  input.setAttribute("aria-invalid", String(fault !== ""));
  if (fault) input.setAttribute("aria-describedby", words_id);
  else input.removeAttribute("aria-describedby");
}

// Number, mean and sample standard deviation (divisor n - 1; null for one), with the most decimals that were typed.
function statistics(entries) {
  const n = entries.length,
    values = entries.map((e) => e.value);
  const mean = values.reduce((sum, v) => sum + v, 0) / n;
  const deviation = n < 2 ? null : Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (n - 1));
  return { n, mean, deviation, decimals: Math.max(...entries.map((e) => decimals_of(e.text))) };
}
