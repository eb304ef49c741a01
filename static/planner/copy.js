// A button with data-copy puts the value of the field that it names on the clipboard. Without it the field can be copied by hand.

for (const button of document.querySelectorAll("[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.select();
    try {
      await navigator.clipboard.writeText(field.value);
      button.textContent = "Copied";
    } catch {
      button.textContent = "Selected: copy it now";
    }
  });
}
