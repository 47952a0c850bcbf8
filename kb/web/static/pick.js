/* Type-ahead on a long select, as the combobox pattern of the WAI-ARIA authoring practices.

`<select data-pick>` with more than a handful of options gets a field that narrows them down: all words typed must stand
in an option (or in the label of its group). The select stays in the form, hidden, and sends the value; it fires
`change`. Keys: down and up, Enter to take, Escape to leave it as it was. Without this script it is a plain select. */

const FEW = 8; // options that a plain select shows as well
const SHOWN = 60; // options in the list at once

let count = 0;

function element(tag, attributes) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function pick(select) {
  count += 1;
  const id = select.id || `pick-${count}`;
  const empty = [...select.options].find((each) => !each.value);
  const field = element("input", {
    id, type: "text", role: "combobox", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": `${id}-options`,
    placeholder: empty ? empty.text : "type a word of it",
  });
  for (const name of ["aria-describedby", "aria-invalid"]) {
    if (select.hasAttribute(name)) field.setAttribute(name, select.getAttribute(name));
  }
  const label = document.querySelector(`label[for="${CSS.escape(id)}"]`);
  const list = element("ul", { id: `${id}-options`, role: "listbox", class: "pick-options", hidden: "" });
  list.setAttribute("aria-label", label ? label.textContent : "Choices");
  const said = element("p", { role: "status", class: "hidden-words" });
  select.id = `${id}-value`;
  select.hidden = true;
  const box = element("div", { class: "pick" });
  select.before(box);
  box.append(field, list, said, select);
  let active = -1;

  const isOpen = () => !list.hidden;
  const labelOf = (option) => (option && option.value ? option.text : "");
  const rest = () => { field.value = labelOf(select.selectedOptions[0]); };
  rest();

  function close() {
    list.hidden = true;
    active = -1;
    field.setAttribute("aria-expanded", "false");
    field.removeAttribute("aria-activedescendant");
  }

  function take(option) {
    const changed = select.value !== option.value;
    select.value = option.value;
    rest();
    close();
    if (changed) select.dispatchEvent(new Event("change", { bubbles: true }));
  }

  function activate(number) {
    const rows = [...list.children];
    if (!rows.length) return;
    active = (number + rows.length) % rows.length;
    rows.forEach((row, at) => row.setAttribute("aria-selected", String(at === active)));
    field.setAttribute("aria-activedescendant", rows[active].id);
    rows[active].scrollIntoView({ block: "nearest" });
  }

  function show(words) {
    const wanted = words.toLowerCase().split(/\s+/).filter(Boolean);
    const found = [...select.options].filter((option) => {
      const group = option.parentElement.label || "";
      const text = `${group} ${option.text}`.toLowerCase();
      return wanted.every((word) => text.includes(word));
    });
    list.replaceChildren(...found.slice(0, SHOWN).map((option, at) => {
      const row = element("li", { id: `${id}-option-${at}`, role: "option", "aria-selected": "false" });
      row.textContent = option.text;
      if (option.selected && option.value) row.classList.add("chosen");
      row.addEventListener("pointerdown", (event) => event.preventDefault());
      row.addEventListener("click", () => take(option));
      row.option = option;
      return row;
    }));
    const more = found.length > SHOWN ? `, the first ${SHOWN} are shown` : "";
    said.textContent = `${found.length || "no"} choice${found.length === 1 ? "" : "s"}${more}`;
    list.hidden = !found.length;
    active = -1;
    field.setAttribute("aria-expanded", String(!list.hidden));
    field.removeAttribute("aria-activedescendant");
  }

  field.addEventListener("click", () => { if (!isOpen()) { field.select(); show(""); } });
  field.addEventListener("input", () => show(field.value));
  field.addEventListener("blur", () => {
    const typed = field.value.trim().toLowerCase();
    const same = [...select.options].find((each) => each.value && each.text.toLowerCase() === typed);
    if (same) take(same);
    else if (!typed && empty) take(empty);
    else { rest(); close(); }
  });
  field.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      if (!isOpen()) show("");
      if (!event.altKey) activate(active < 0 && step < 0 ? -1 : active + step);
    } else if (event.key === "Enter" && isOpen()) {
      event.preventDefault();
      const row = list.children[active] ?? (list.children.length === 1 ? list.children[0] : null);
      if (row) take(row.option);
    } else if (event.key === "Escape" && isOpen()) {
      event.preventDefault();
      rest();
      close();
    } else if (event.key === "Tab" && isOpen() && active >= 0) {
      take(list.children[active].option);
    }
  });
  select.form?.addEventListener("reset", () => setTimeout(rest));
  window.addEventListener("pageshow", rest); // a browser that goes back puts old values into selects
}

for (const select of document.querySelectorAll("select[data-pick]")) {
  if (!select.multiple && select.options.length > FEW) pick(select);
}
