"use strict";
// Before anybody is signed in: says whose unsent work is on this phone, and forgets
// what was sent.
(async () => {
  const { keeper } = window.bench;
  const place = document.querySelector("[data-kept-here]");
  const [boxes, waiting] = [await keeper.allBoxes(), await keeper.allWaiting()];
  const unsent = new Map();
  for (const one of [...boxes.filter((box) => !box.sent && !box.other), ...waiting]) unsent.set(one.group, true);
  await keeper.forgetBoxes(boxes.filter((box) => !unsent.has(box.group)));
  for (const group of unsent.keys()) {
    const about = (await keeper.note(`about:${group}`)) ?? {};
    const note = document.createElement("p");
    note.className = "notice";
    note.textContent = tell("Not sent yet, and kept on this phone: readings of group {group}, section {section}. Sign in with that group’s slip; they are sent then.", about);
    place.append(note);
  }
})();
