/* Re-check while one types.

A form with `data-live` asks its address again a moment after a field changed, and puts the answer's parts in place of
those on the page. Without this script its button does the same.

  <form action="/fit" method="get" data-live>          asks the form's own address
  <form action="/here" method="post" data-live="/here">  asks this one, by GET, and writes nothing
  <div id="answer" data-live-part>                     is replaced by what has the same id in the new page
  <p role="status" data-live-status></p>               says the words of the first `data-live-say="..."` in the new parts
  <div data-live-at="pan.sump_depth=18">               in an answer: the field at fault, which is marked
  <select data-live-not>                               changes nothing until the button is pressed
*/

const PAUSE = 500; // ms after the last key
const SECRET = "csrftoken";
const POSTED = new Set([SECRET, "old"]); // fields that only writing needs

function addressOf(form) {
  const pairs = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && value.trim() && !POSTED.has(name)) pairs.append(name, value);
  }
  return `${form.dataset.live || form.getAttribute("action")}?${pairs}`;
}

/* Half a pair of feature and value is no question yet. */
function isWhole(form) {
  const name = form.elements.namedItem("try");
  const value = form.elements.namedItem("value");
  return !name || !value || !name.value.trim() === !value.value.trim();
}

function fieldAt(form, place) {
  const name = place.split("=")[0];
  const named = [...form.elements].find((each) => each.name === name && each.type !== "hidden");
  const pointer = [...form.elements].find((each) => ["try", "where"].includes(each.name) && each.value === name);
  return named || (pointer && form.elements.namedItem("value"));
}

function mark(form, fresh) {
  const faulty = fresh.querySelector("[data-live-at]");
  const at = faulty ? fieldAt(form, faulty.dataset.liveAt) : null;
  for (const each of form.elements) {
    if (each === at) each.setAttribute("aria-invalid", "true");
    else each.removeAttribute("aria-invalid");
  }
  for (const each of form.querySelectorAll(".wrong")) each.remove();
}

function place(fresh) {
  for (const old of document.querySelectorAll("[data-live-part]")) {
    const made = fresh.getElementById(old.id);
    if (!made) continue;
    const open = [...old.querySelectorAll("details[open]")].map((each) => each.querySelector("summary")?.textContent);
    for (const each of made.querySelectorAll("details")) {
      if (open.includes(each.querySelector("summary")?.textContent)) each.open = true;
    }
    old.replaceWith(document.adoptNode(made));
  }
  document.title = fresh.title;
}

function say(words) {
  const status = document.querySelector("[data-live-status]");
  if (status) status.textContent = words;
}

function enliven(form) {
  let timer = 0;
  let asked = null;
  let last = addressOf(form);

  async function ask() {
    const address = addressOf(form);
    if (address === last || !isWhole(form)) return;
    last = address;
    asked?.abort();
    asked = new AbortController();
    document.body.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(address, { signal: asked.signal, headers: { Accept: "text/html" } });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (!fresh.querySelector("[data-live-part]")) throw new Error("no answer");
      mark(form, fresh);
      place(fresh);
      say(document.querySelector("[data-live-say]")?.dataset.liveSay ?? "");
      if (form.method === "get") history.replaceState(null, "", answer.url || address);
    } catch (fault) {
      if (fault.name === "AbortError") return;
      last = "";
      say("This could not be checked again just now. Press the button to try.");
    }
    document.body.removeAttribute("aria-busy");
  }

  function later(event) {
    if (event.target.closest("[data-live-not]") || !event.target.name) return;
    clearTimeout(timer);
    timer = setTimeout(ask, event.type === "change" ? 0 : PAUSE);
  }
  form.addEventListener("input", later);
  form.addEventListener("change", later);
}

for (const form of document.querySelectorAll("form[data-live]")) enliven(form);
