
// --- narrowing down: never fails silently ---
const form = $("narrow"), limits = [...form.querySelectorAll("[data-most]")], slides = [...form.querySelectorAll("[data-slide]")], boxes = [...form.querySelectorAll("[data-layout]")];
const widest = Object.fromEntries(limits.map((field) => [field.dataset.most, Number(field.value)]));
// A number with a point or a comma; an empty field sets no limit, anything else is said to be none and sets none.
function read(field) {
  const written = field.value.trim().replace(",", "."), good = /^\d+\.?\d*$|^\.\d+$/.test(written), odd = written !== "" && !good;
  field.toggleAttribute("aria-invalid", odd);
  if (odd) field.setAttribute("aria-invalid", "true");
  if (field.dataset.most) $(`odd-${field.dataset.most}`).textContent = odd ? "Not a number: no limit is set." : "";
  return good ? Number(written) : Infinity;
}
const asked = () => Object.fromEntries(limits.map((field) => [field.dataset.most, read(field)]));
const ways = () => new Set(boxes.filter((box) => box.checked).map((box) => Number(box.dataset.layout)));
function narrow() {
  const limit = asked(), built = ways();
  fits = new Set(designs.filter((d) => built.has(d.layout) && KEYS.every((key) => d.counts[key] <= limit[key])));
  left = [...settings.values()].map((several) => several.find((d) => fits.has(d))).filter(Boolean).sort((a, b) => a.at - b.at);
  isLeft = new Set(left.map((d) => d.coil));
  $("left").textContent = `${left.length} of ${coils.length} left`;
  advise(limit, built);
  allTable.turn(0);
  refreshTables();
  for (const one of fields) one.fill();
  tellLeft();
  remember();
}
const button = (words, act) => { const b = make("button", { type: "button", class: "plain" }, words); b.addEventListener("click", act); return b; };
function advise(limit, built) {
  const said = left.length === coils.length ? ["Write a limit or move a slider: tables and charts follow."] : [];
  if (left.length && left.length < coils.length) said.push("Best of these: ", button(named(left[0]), () => choose(left[0])), ` ${KEYS.slice(0, 3).map((key) => figure(left[0][key], key)).join(", ")}`);
  if (!left.length) said.push(...loosening(limit, built));
  $("advice").replaceChildren(...(said.length ? [make("p", {}, ...said)] : []));
}
// Nothing left: the least that one limit would have to give, else the coil that is least over all of them.
function loosening(limit, built) {
  const over = (d, key) => Math.max(0, d.counts[key] - limit[key]) / (most[key] || 1);
  const found = [];
  for (const key of KEYS) {
    const open = designs.filter((d) => built.has(d.layout) && KEYS.every((k) => k === key || d.counts[k] <= limit[k]));
    if (!open.length || limit[key] === Infinity) continue;
    const needed = Math.min(...open.map((d) => d.counts[key])), gained = open.filter((d) => d.counts[key] <= needed);
    found.push({ over: over(gained[0], key), words: `Allow ${figure(needed, key)} instead of ${figure(limit[key], key)}`, gain: gained[0], set: [[key, needed]], built: null });
  }
  for (const other of boxes.filter((box) => !box.checked)) {
    const layout = Number(other.dataset.layout), open = designs.filter((d) => d.layout === layout && KEYS.every((k) => d.counts[k] <= limit[k]));
    if (open.length) found.push({ over: 0, words: `Allow ${data.layouts[Object.keys(data.layouts)[layout]]}`, gain: open[0], set: [], built: other });
  }
  found.sort((a, b) => a.over - b.over);
  if (!found.length) {
    const total = (d) => KEYS.reduce((sum, key) => sum + over(d, key), built.has(d.layout) ? 0 : 10), d = designs.reduce((a, b) => (total(b) < total(a) ? b : a));
    const broken = KEYS.filter((key) => d.counts[key] > limit[key]);
    found.push({ alone: true, words: `Allow ${broken.map((key) => figure(d.counts[key], key)).join(", ")}`, gain: d, set: broken.map((key) => [key, d.counts[key]]), built: built.has(d.layout) ? null : boxes.find((box) => Number(box.dataset.layout) === d.layout) });
  }
  const { words, gain, set, built: box, alone } = found[0];
  return [alone ? "Nothing is left, and no one limit alone would help. " : "Nothing is left. ", button(words, () => {
    for (const [key, value] of set) for (const field of [limits, slides].flat()) if ((field.dataset.most || field.dataset.slide) === key) field.value = String(value);
    if (box) box.checked = true;
    narrow();
    choose(left[0]);
  }), ` brings ${named(gain)}: ${numbers(gain)}.`];
}
form.addEventListener("input", ({ target }) => {
  const other = target.dataset.slide ? limits.find((f) => f.dataset.most === target.dataset.slide) : slides.find((f) => f.dataset.slide === target.dataset.most);
  if (other && Number.isFinite(read(target))) other.value = String(read(target));
  narrow();
});
form.addEventListener("submit", (event) => event.preventDefault());
form.addEventListener("reset", () => setTimeout(narrow));
