/* Narrow a list down while one types: `<input data-narrow="choices">` hides the entries of the list with that id which
lack a word of it, and says in the element `<input's id>-count` how many are left. Without this script the form around
the field asks the server the same. */

function narrow(field) {
  const list = document.getElementById(field.dataset.narrow);
  const count = document.getElementById(`${field.id}-count`);
  if (!list) return;
  const entries = [...list.children].map((entry) => [entry, entry.textContent.toLowerCase()]);
  field.addEventListener("input", () => {
    const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
    let left = 0;
    for (const [entry, text] of entries) {
      entry.hidden = !words.every((word) => text.includes(word));
      if (!entry.hidden) left += 1;
    }
    if (count) count.textContent = words.length ? `${left || "None"} with these words` : "";
  });
  field.form?.addEventListener("submit", (event) => {
    const shown = entries.filter(([entry]) => !entry.hidden);
    const only = shown.length === 1 ? shown[0][0].querySelector("a") : null;
    if (!only || !field.value.trim()) return;
    event.preventDefault();
    only.click();
  });
}

for (const field of document.querySelectorAll("input[data-narrow]")) narrow(field);
