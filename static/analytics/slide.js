// A slider with data-slides moves the number field that it names, and the field moves it; its output says the value.
// Without it both are sent, and the server takes the one that was moved.

for (const slider of document.querySelectorAll("[data-slides]")) {
  const field = document.getElementById(slider.dataset.slides);
  const said = document.getElementById(slider.dataset.says);
  const say = () => {
    said.value = `${field.value}°`;
    slider.setAttribute("aria-valuetext", `${field.value} degrees`);
  };
  slider.addEventListener("input", () => {
    field.value = slider.value;
    say();
  });
  field.addEventListener("input", () => {
    slider.value = field.value;
    say();
  });
}
