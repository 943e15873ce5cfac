
// --- kept: the view in the address, a page with it inside, a table, a coil file, the command ---
const layoutNames = Object.keys(data.layouts);
let silent = true;  // while a view is being put in place
function view() {
  const said = new URLSearchParams(), limit = asked(), [by, falling] = allTable.order();
  if (chosen !== (short[0] || designs[0])) said.set("coil", chosen.id);
  if (beside) said.set("beside", beside.id);
  for (const key of KEYS) if (limit[key] !== widest[key]) said.set(key, limit[key] === Infinity ? "" : String(limit[key]));
  const without = boxes.filter((box) => !box.checked).map((box) => layoutNames[Number(box.dataset.layout)]);
  if (without.length) said.set("without", without.join(","));
  if (by !== "rank" || falling) said.set("order", by + (falling ? "-falling" : ""));
  return said.toString();
}
function remember() {
  if (silent) return;
  const now = view();
  if (now !== location.hash.slice(1)) history.replaceState(null, "", now ? `#${now}` : location.pathname + location.search);
}
// A view of an older page may name what is not here: that is said, the rest is put in place.
function restore(text) {
  silent = true;
  const said = new URLSearchParams(text), odd = [], coil = (key) => {
    const id = said.get(key);
    if (id !== null && !byId.has(id)) odd.push(`the coil ${id}`);
    return byId.get(id) || null;
  };
  for (const field of limits) {
    const value = said.get(field.dataset.most);
    field.value = value === null ? field.defaultValue : value;
    const slide = slides.find((f) => f.dataset.slide === field.dataset.most), number = read(field);
    slide.value = String(Number.isFinite(number) ? number : slide.max);
  }
  const without = (said.get("without") || "").split(",");
  for (const box of boxes) box.checked = !without.includes(layoutNames[Number(box.dataset.layout)]);
  const [by, falling] = (said.get("order") || "rank").split("-");
  if ([...KEYS, "rank", "what"].includes(by)) allTable.sort(by, falling === "falling");
  else odd.push(`the order ${by}`);
  const one = coil("coil"), other = coil("beside");
  narrow();
  set(one || short[0] || designs[0], other);
  $("done").textContent = odd.length ? `This view names what is not on this page: ${odd.join(", ")}. The lists were others then.` : "";
  silent = false;
}
window.addEventListener("hashchange", () => { if (location.hash.slice(1) !== view()) restore(location.hash.slice(1)); });
function save(name, text, type) {
  const link = make("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  $("done").textContent = `${name} is among your downloads.`;
}
// A spreadsheet takes a text that begins so for a formula.
const cell = (value) => { const text = typeof value === "string" && /^[=+\-@\t\r\n]/.test(value) ? `'${value}` : String(value ?? ""); return /[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text; };
$("export").addEventListener("click", () => {
  const heads = ["order", "id", "what", "valve", "layout", ...KEYS.map((key) => `${goal[key].label}, ${goal[key].unit}`), "band of work"];
  const rows = left.map((d, i) => [i + 1, d.id, d.what, d.setting, data.layouts[layoutNames[d.layout]], ...KEYS.map((key) => d.counts[key]), data.bands[d.band]]);
  save("left.csv", `${[heads, ...rows].map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`, "text/csv");
});
$("save-coil").addEventListener("click", () => { const one = full(chosen); if (one) save(`coil-${chosen.id}.toml`, `${one.file.join("\n")}\n`, "application/toml"); });
$("save-view").addEventListener("click", () => {
  const text = JSON.stringify(view()).replaceAll("<", "\\u003c"), place = /(<script type="application\/json" id="view">)[^<]*(<\/script>)/;
  save("tradeoff-view.html", `<!doctype html>\n${pristine.replace(place, (_, open, close) => open + text + close)}`, "text/html");
});
$("print").addEventListener("click", () => window.print());
$("copy").addEventListener("click", async () => {
  const text = $("sheet-command").textContent;
  try {
    await navigator.clipboard.writeText(text);
    $("done").textContent = "Copied.";
  } catch {
    getSelection().selectAllChildren($("sheet-command"));
    $("done").textContent = "Marked: copy it with the keyboard.";
  }
});
