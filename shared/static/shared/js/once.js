// A second click while a form is on its way sends nothing: what it would do again is under way.
const AGAIN_AFTER = 5000; // milliseconds: then the answer was a file, or the network is gone
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented) return;
  if (Date.now() - Number(form.dataset.sentAt ?? 0) < AGAIN_AFTER) event.preventDefault();
  else form.dataset.sentAt = Date.now();
});
// Back from another page, the browser may show this one as it was left.
window.addEventListener("pageshow", () => {
  for (const form of document.forms) delete form.dataset.sentAt;
});
