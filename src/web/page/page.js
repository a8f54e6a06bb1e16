"use strict";
fetch("/api/v1/situation").then((answer) => answer.json()).then((document_) => {
  const text = document.getElementById("seen");
  text.textContent = document_.situation
    ? `${document_.title}: step ${document_.situation.step.number}, ` +
      `${document_.situation.measures.rms_a.toFixed(3)} A true RMS`
    : document_.detail;
});
