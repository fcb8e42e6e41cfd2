// "/" puts the cursor into the find box, unless one is already typing.
document.addEventListener("keydown", (event) => {
  const box = document.getElementById("find");
  const typing = /^(INPUT|TEXTAREA|SELECT)$/.test(document.activeElement.tagName);
  if (event.key === "/" && box && !typing) {
    event.preventDefault();
    box.focus();
  }
});
