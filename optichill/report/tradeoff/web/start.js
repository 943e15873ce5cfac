restore(location.hash.length > 1 ? location.hash.slice(1) : JSON.parse($("view").textContent) || "");
page.state = () => ({ chosen: chosen.id, beside: beside && beside.id, pointed: pointed && pointed.id, left: left.map((d) => d.id) });
page.full = (id) => full(byId.get(id));
page.coil = (id) => byId.get(id);
page.steps = (key) => fields.find((one) => one.key === key).front();
