// Makes the page answer while a quantity is changed. Without it the form is sent
// as any form, and everything is there all the same.

const patience = 450; // ms without a change before a long answer is asked for
let asking = null;
let later = 0;

const stage = () => document.getElementById("stage");
const form = () => document.getElementById("quantities");
const say = (text) => { document.getElementById("state").textContent = text; };

// query is the form's state as the server takes it: only what was changed.
function query() {
  const q = new URLSearchParams();
  const f = form();
  if (!f) return new URLSearchParams(location.search);
  for (const hidden of f.querySelectorAll("input[type=hidden]")) q.append(hidden.name, hidden.value);
  for (const field of f.querySelectorAll("[data-saved]")) {
    const value = field.value.trim();
    if (value !== "" && value !== field.dataset.saved) q.append("set", `${field.name}=${value}`);
  }
  const today = f.querySelector("#day");
  if (today && today.value && today.value !== today.defaultValue || today && new URLSearchParams(location.search).has("day")) q.set("day", today.value);
  const spot = f.querySelector("#spot");
  if (spot) q.set("spot", spot.value);
  return q;
}

function address(q) {
  const text = q.toString();
  return location.pathname + (text ? "?" + text : "");
}

// ask fetches a part; what was asked before is no longer wanted.
async function ask(q, part) {
  if (asking) asking.abort();
  const mine = asking = new AbortController();
  const wanted = new URLSearchParams(q);
  for (const [name, value] of Object.entries(part)) wanted.set(name, value);
  try {
    const answer = await fetch(location.pathname + "?" + wanted, { signal: mine.signal, headers: { Accept: "text/html" } });
    const text = await answer.text();
    return mine.signal.aborted ? null : new DOMParser().parseFromString(text, "text/html");
  } catch (wrong) {
    if (wrong.name !== "AbortError") say("turnsole does not answer: is it still running?");
    return null;
  }
}

function show(page) {
  const wrong = page.querySelectorAll(".wrong li");
  for (const field of form()?.querySelectorAll("[data-saved]") ?? []) {
    const mine = [...wrong].find((li) => li.dataset.key === field.name);
    const place = document.getElementById(field.id + "-wrong");
    place.textContent = mine ? mine.textContent.replace(field.name + ": ", "") : "";
    if (mine) field.setAttribute("aria-invalid", "true"); else field.removeAttribute("aria-invalid");
  }
  document.getElementById("lead").replaceWith(page.getElementById("lead"));
  if (wrong.length === 0) {
    document.getElementById("rest").replaceWith(page.getElementById("rest"));
    stage().classList.remove("old");
  }
  return wrong.length === 0;
}

// renew asks for the first figures at once, and for all of it a little later.
async function renew(q) {
  clearTimeout(later);
  stage().classList.add("old");
  const slow = stage().dataset.slow;
  say("working it out …");
  const page = await ask(q, slow ? { part: "answer", first: "1" } : { part: "answer" });
  if (!page) return;
  const sound = show(page);
  if (slow && sound) later = setTimeout(() => whole(q), patience);
  else say(sound ? "" : "no answer for this: see beside the field");
}

async function whole(q) {
  say("working out the rest …");
  const page = await ask(q, { part: "answer" });
  if (page) say(show(page) ? "" : "no answer for this: see above");
}

// mark shows which fields differ from the file, and carries the changes on to
// the other stages.
function mark(q) {
  for (const field of form()?.querySelectorAll("[data-saved]") ?? []) {
    field.closest(".field").classList.toggle("changed", field.value.trim() !== field.dataset.saved);
  }
  for (const link of document.querySelectorAll("a[data-keep]")) {
    const to = new URL(link.href);
    to.search = q.toString();
    link.href = to.pathname + to.search;
  }
}

const figure = /^\s*([-+]?\d+(?:\.\d+)?)(\s*\D.*)?$/;

// together keeps a figure and its slider at one value.
function together(changed) {
  if (changed.type === "range") {
    const field = document.getElementById(changed.dataset.for);
    field.value = changed.value + changed.dataset.unit;
    return;
  }
  const slider = form().querySelector(`[data-for="${changed.id}"]`);
  const read = slider && figure.exec(changed.value);
  if (read && (read[2] ?? "").trim() === slider.dataset.unit.trim()) slider.value = read[1];
}

function ready() {
  for (const slider of document.querySelectorAll(".slide")) slider.hidden = false;
  const box = document.querySelector("details.change");
  if (box && matchMedia("(max-width: 62rem)").matches) box.open = false;
  for (const button of form()?.querySelectorAll(".send") ?? []) button.hidden = true;
  if (stage().dataset.partial) whole(new URLSearchParams(location.search));
}

document.addEventListener("input", (event) => {
  if (!event.target.closest("#quantities")) return;
  together(event.target);
  const q = query();
  mark(q);
  renew(q);
});

document.addEventListener("change", (event) => {
  if (!event.target.closest("#quantities")) return;
  const to = address(query());
  if (to !== location.pathname + location.search) history.pushState(null, "", to);
});

document.addEventListener("submit", (event) => {
  if (event.target.id !== "quantities") return;
  event.preventDefault();
  renew(query());
});

// Back and forward undo and redo.
addEventListener("popstate", async () => {
  clearTimeout(later);
  const q = new URLSearchParams(location.search);
  const page = await ask(q, { part: "stage" });
  if (!page) return;
  stage().replaceWith(page.getElementById("stage"));
  mark(q);
  ready();
});

ready();
