
// --- the cool-down of the chosen coil, and of the one set aside ---
function roundValues(low, high, most) {  // as Python's `round_values`
  const rough = (high - low) / most, power = 10 ** Math.floor(Math.log10(rough)), step = [1, 2, 5, 10].map((s) => s * power).find((s) => s >= rough * (1 - 1e-9));
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9)), values = [];
  for (let k = Math.ceil(low / step - 1e-9); k <= high / step + 1e-9; k++) values.push([k * step, (k * step).toFixed(decimals)]);
  return values;
}
const lineOf = (one) => one.curve.minutes.map((m, i) => [m, one.curve.wort[i]]);
function cooled(one, other) {
  const holder = $("curve").querySelector("svg");
  if (!holder) return;
  const line = lineOf(one), second = other ? lineOf(other) : [], all = [...line, ...second];
  if (!line.length) return;
  const x1 = Math.max(1, ...all.map((p) => p[0])), low0 = Math.min(data.target, ...all.map((p) => p[1])), high = Math.max(...all.map((p) => p[1])), low = low0 - 0.04 * (high - low0 || 1);
  const X = (m) => (100 * m) / x1, Y = (T) => 100 - (100 * (T - low)) / (high - low), d = (points) => points.map(([m, T], i) => `${i ? "L" : "M"}${X(m).toFixed(2)},${Y(T).toFixed(2)}`).join("");
  const said = (at, looks, words) => shape("text", { ...at, ...looks }, words);
  const axes = [...roundValues(low, high, 5).flatMap(([v, words]) => [shape("line", { class: "grid", x1: 0, x2: "100%", y1: percent(Y(v)), y2: percent(Y(v)) }), said({ x: -7, y: percent(Y(v)), dy: 4 }, { "text-anchor": "end" }, words)]),
    ...roundValues(0, x1, 6).flatMap(([v, words]) => [shape("line", { class: "grid", y1: 0, y2: "100%", x1: percent(X(v)), x2: percent(X(v)) }), said({ x: percent(X(v)), y: "100%", dy: 17 }, { "text-anchor": "middle" }, words)]),
    shape("line", { class: "axis", x1: 0, x2: "100%", y1: "100%", y2: "100%" }), shape("line", { class: "axis", x1: 0, x2: 0, y1: 0, y2: "100%" })];
  holder.querySelector(".axes").replaceChildren(...axes);
  dressed(holder.querySelector(".target"), { y1: percent(Y(data.target)), y2: percent(Y(data.target)) }, []);
  dressed(holder.querySelector(".target-words"), { y: percent(Y(data.target)) }, []);
  holder.querySelector(".changes").replaceChildren(...one.changes.flatMap(([m, words], i) => {
    const right = X(m) > 60;
    return [shape("line", { class: "change", x1: percent(X(m)), x2: percent(X(m)), y1: 0, y2: "100%" }), said({ x: percent(X(m)), y: 0, dx: right ? -4 : 4, dy: 10 + 14 * (i % 3) }, { class: "halo", "text-anchor": right ? "end" : "start" }, words)];
  }));
  holder.querySelector(".cooling:not(.beside)").setAttribute("d", d(line));
  holder.querySelector(".cooling.beside").setAttribute("d", d(second));
  // Names stand apart even where the curves do not: over the one, under the other.
  const third = (points) => points[Math.floor(points.length / 3)], half = (points) => points[Math.floor(points.length / 2)];
  const named = other ? [["chosen", third(line), -8, "start"], ["set aside", half(second), 18, "end"]] : [];
  holder.querySelector(".ends").replaceChildren(...named.map(([words, [m, T], dy, anchor]) => said({ x: percent(X(m)), y: percent(Y(T)), dx: anchor === "end" ? -4 : 6, dy }, { class: "label halo", "text-anchor": anchor }, words)));
  const unit = data.temperature_unit, end = line[line.length - 1];
  const told = `From ${line[0][1].toFixed(0)} to ${end[1].toFixed(0)} ${unit} in ${(end[0] - line[0][0]).toFixed(0)} minutes, in one run with all that is uncertain at its middle${one.changes.map(([m, words]) => `; at ${m.toFixed(0)} min ${words}`).join("")}.`;
  holder.setAttribute("aria-label", `Cooling down. ${told}`);
  $("c-curve").textContent = other ? `${told} Dashed: the coil set aside, ${(second[second.length - 1] || [0])[0].toFixed(0)} minutes.` : told;
  page.curve = { chosen: line, beside: second };
}
