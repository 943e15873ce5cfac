
// --- two side by side ---
const WORDS = { time: ["slower", "quicker"], cost: ["dearer", "cheaper"], water: ["more water", "less water"], work: ["harder", "easier"] };
// In what the chosen coil differs from the one set aside, as both are read.
function differences(d, other) {
  const said = { better: [], worse: [] }, same = [];
  for (const key of KEYS) {
    const gap = d.counts[key] - other.counts[key], [more, less] = WORDS[key];
    if (key === "work" && d.band === other.band && Math.abs(gap) < 0.5) same.push("work");
    else if (!gap) same.push(goal[key].label);
    else said[gap > 0 ? "worse" : "better"].push(key === "work" ? (gap > 0 ? more : less) : `${figure(Math.abs(gap), key)} ${gap > 0 ? more : less}`);
  }
  return { ...said, same };
}
function compared(d, other) {
  const { better, worse, same } = differences(d, other);
  const sure = d.span && other.span && d.span[0] <= other.span[1] && other.span[0] <= d.span[1] && d.counts.time !== other.counts.time;
  return [better.length && `Against the one set aside it is ${better.join(", ")}.`, worse.length && `${better.length ? "But it is" : "Against the one set aside it is"} ${worse.join(", ")}.`, same.length && `The same: ${same.join(", ")}.`,
    sure && "Their likely times overlap: what one batch takes depends more on what nobody knows well than on which of the two it is; in the same kettle on the same day the quicker stays the quicker."].filter(Boolean);
}
// Facts of both, a row each; what differs in bold.
function paired(one, other, d) {
  const theirs = new Map(other.facts), rows = one.facts.map(([what, value]) => [what, value, theirs.get(what) ?? "–"]);
  for (const [what, value] of other.facts) if (!one.facts.some(([w]) => w === what)) rows.push([what, "–", value]);
  const all = [...KEYS.map((key) => [goal[key].label, figure(d[key], key), figure(beside[key], key)]), ...rows];
  const cells = (row) => row.map((cell, i) => (i ? make("td", row[1] === row[2] ? {} : { class: "differs" }, cell) : make("th", { scope: "row" }, cell)));
  return make("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "The two coils" },
    make("table", { class: "pair" }, make("caption", {}, "What differs is in bold."), make("thead", {}, make("tr", {}, ...["what", "chosen", "set aside"].map((words) => make("th", { scope: "col" }, words)))),
      make("tbody", {}, ...all.map((row) => make("tr", {}, ...cells(row))))));
}
$("pin").addEventListener("click", () => set(chosen, chosen));
$("unpin").addEventListener("click", () => set(chosen, null));
$("swap").addEventListener("click", () => set(beside, chosen));
