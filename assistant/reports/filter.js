"use strict";
// Shows the lines that fit the words and choices above, and hides fields of which no line is left.
(function () {
  const form = document.getElementById("filter");
  const words = document.getElementById("words");
  const choices = ["field", "found", "action", "kind"].map((name) => document.getElementById(name));
  const lines = Array.from(document.querySelectorAll("tr[data-field]"));
  const texts = lines.map((line) => line.textContent.toLowerCase());
  const sections = Array.from(document.querySelectorAll("section[data-section]"));

  function fits(line, text, wanted) {
    return wanted.every((word) => text.includes(word)) &&
      choices.every((choice) => choice.value === "" || line.dataset[choice.id].split(" ").includes(choice.value));
  }

  function show() {
    const wanted = words.value.toLowerCase().split(/\s+/).filter(Boolean);
    let left = 0;
    lines.forEach((line, place) => {
      line.hidden = !fits(line, texts[place], wanted);
      left += line.hidden ? 0 : 1;
    });
    sections.forEach((section) => {
      section.hidden = !section.querySelector("tr[data-field]:not([hidden])");
    });
    document.getElementById("left").textContent = left + " of " + lines.length + " lines";
  }

  form.hidden = false;
  form.addEventListener("input", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(show, 0));
  show();
})();
