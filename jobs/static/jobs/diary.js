// Dragging a visit onto a day opens its page's own form there: the same address, the same checks.
// Without JavaScript, by keyboard and by touch the visit's page does the same.
let dragged = null;

async function moved(stop, day) {
  const address = stop.querySelector("a").href;
  const page = new DOMParser().parseFromString(await (await fetch(address)).text(), "text/html");
  const form = page.querySelector("main form.stacked");
  if (!form) {
    window.location = address;
    return;
  }
  form.elements.day.value = day.dataset.day;
  form.elements.crew.value = day.dataset.crew;
  form.action = address;
  form.hidden = true;
  document.body.append(document.adoptNode(form));
  form.submit();
}

document.addEventListener("dragstart", (event) => {
  dragged = event.target.closest(".stop");
});

document.addEventListener("dragend", () => {
  dragged = null;
  document.querySelectorAll(".day.over").forEach((day) => day.classList.remove("over"));
});

document.querySelectorAll(".day").forEach((day) => {
  day.addEventListener("dragover", (event) => {
    if (dragged) {
      event.preventDefault();
      day.classList.add("over");
    }
  });
  day.addEventListener("dragleave", () => day.classList.remove("over"));
  day.addEventListener("drop", (event) => {
    if (dragged) {
      event.preventDefault();
      moved(dragged, day);
    }
  });
});
