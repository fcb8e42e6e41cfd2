// The plan editor without reloads: refusals are shown like pages, a lost connection loses nothing.
const SHOWN_AS_PAGES = [409, 422];

document.addEventListener("htmx:beforeSwap", (event) => {
  if (SHOWN_AS_PAGES.includes(event.detail.xhr.status)) {
    event.detail.shouldSwap = true;
    event.detail.isError = false;
  }
});

function notSaved(why) {
  const told = document.getElementById("unsaved");
  told.textContent = told.dataset[why];
  told.hidden = false;
  told.scrollIntoView({ block: "nearest" });
}

document.addEventListener("htmx:sendError", () => notSaved("lost"));
document.addEventListener("htmx:timeout", () => notSaved("lost"));
document.addEventListener("htmx:responseError", () => notSaved("failed"));

// After a change the cursor stands where the next measure is typed; a refusal is read first.
document.addEventListener("htmx:afterSettle", (event) => {
  const editor = document.getElementById("editor");
  if (!editor || event.detail.elt !== editor) return;
  const wrong = editor.querySelector(".editor-form [aria-invalid='true']");
  const first = editor.querySelector(".editor-form form :is(input, select):not([type='hidden'])");
  (wrong || first)?.focus({ preventScroll: Boolean(!wrong) });
  if (event.detail.requestConfig?.verb === "get") {
    editor.querySelector("#panel").scrollIntoView({ block: "nearest" });
  }
});

// The parts of the form that the chosen kind needs open by themselves.
document.addEventListener("change", (event) => {
  if (event.target.name !== "kind") return;
  const form = event.target.form;
  const plants = form.querySelector(".for-plants");
  const doors = form.querySelector(".for-doors");
  if (plants) plants.open = /plant|branch/.test(event.target.value);
  if (doors) doors.open = /door/.test(event.target.value);
});
