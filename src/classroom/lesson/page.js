"use strict";
(() => {
  const put = (root, name, texts) => {
    for (const element of root.querySelectorAll("[data-" + name + "]")) {
      element.textContent = texts[Number(element.dataset[name])];
    }
  };
  for (const element of document.querySelectorAll("[data-live]")) element.hidden = false;

  for (const box of document.querySelectorAll("[data-slider]")) {
    const data = JSON.parse(box.querySelector("script").textContent);
    const inputs = [...box.querySelectorAll("input[type=range]")];
    const outputs = inputs.map((input) => box.querySelector("output[for='" + input.id + "']"));
    const wave = box.querySelector(".wave");
    const rms = box.querySelector(".rms");
    const rmsWord = box.querySelector(".rms-word");
    const band = box.querySelector(".band");
    const mark = box.querySelector(".mark");
    const show = () => {
      let at = 0;
      let meter = 0;
      data.axes.forEach((axis, k) => {
        const value = Number(inputs[k].value);
        if (axis.meter) meter = value;
        else at = at * axis.settings.length + value;
      });
      const frame = data.frames[at];
      const reading = frame.m[meter];
      put(box, "circuit", frame.c);
      put(box, "held", [frame.n]);
      put(box, "noticed", [frame.o.map((k) => data.notes[k]).join("; ")]);
      if (reading) {
        put(box, "meter", reading.d);
        put(box, "why", [reading.w]);
        mark.setAttribute("visibility", reading.x === null ? "hidden" : "visible");
        if (reading.x !== null) mark.setAttribute("transform", "translate(" + reading.x / 10 + " 0)");
      }
      wave.setAttribute("points", frame.p.map((y, k) => (data.x + data.dx * k).toFixed(1) + "," + y / 10).join(" "));
      rms.setAttribute("y1", frame.r / 10);
      rms.setAttribute("y2", frame.r / 10);
      rmsWord.setAttribute("y", frame.r / 10 - 4);
      band.setAttribute("x", frame.g[0] / 10);
      band.setAttribute("width", (frame.g[1] - frame.g[0]) / 10);
      data.axes.forEach((axis, k) => {
        const words = axis.settings[Number(inputs[k].value)];
        const shown = reading ? ", meter shows " + reading.d[0] + ", error " + reading.d[1] + ", " + reading.d[4] : "";
        outputs[k].textContent = words;
        inputs[k].setAttribute("aria-valuetext", words + "; true RMS " + frame.c[0] + shown);
      });
    };
    for (const input of inputs) input.addEventListener("input", show);
    show();
  }

  const number = (text) => Number(text.trim().replace(",", ".").replace("\u2212", "-").replace(/[^0-9.+-].*$/, "") || NaN);
  for (const box of document.querySelectorAll("[data-question]")) {
    const output = box.querySelector(".check output");
    const check = () => {
      let right;
      if (box.dataset.question === "number") {
        const answer = number(box.querySelector("input").value);
        if (Number.isNaN(answer)) {
          output.textContent = "Type a number first.";
          return;
        }
        right = Math.abs(answer - Number(box.dataset.answer)) <= Number(box.dataset.tolerance);
      } else {
        const chosen = [...box.querySelectorAll("input")].filter((input) => input.checked);
        if (chosen.length === 0) {
          output.textContent = "Choose first.";
          return;
        }
        right = chosen.map((input) => input.value).join(",") === box.dataset.right;
      }
      output.textContent = right ? "✓ Right." : "✗ Not yet. Try again, or open the answer.";
    };
    box.querySelector("button").addEventListener("click", check);
    for (const input of box.querySelectorAll("input[type=text]")) {
      input.addEventListener("keydown", (event) => {
        if (event.key === "Enter") check();
      });
    }
  }
})();
